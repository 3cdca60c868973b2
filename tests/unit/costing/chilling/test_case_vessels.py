"""Cases with vessels, ice baths, stirring, layers and additions; those without are answered as ever."""

from __future__ import annotations

import contextlib
import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import (
    PROFILES,
    Cylinder,
    Mixture,
    Plan,
    Stage,
    case_answers,
    case_to_json,
    core_times,
    read_case,
    report,
)
from costing.chilling.cases import CODES, read_document
from costing.chilling.profiles import COLD_C, COOKED
from costing.contract import InputErrors
from tests.unit.costing.chilling.test_cases import GOOD, json_values

CURD = {"water": 45, "fat": 20, "protein": 4, "carb": 30, "ash": 1}
TUB: dict[str, Any] = {"kind": "tub", "length_mm": 250, "width_mm": 160, "depth_mm": 65}
FILM = {"minutes": 600, "ambient_c": 3, "h_top": 8, "h_side": 8, "h_bottom": 5}
IN_A_TUB: dict[str, Any] = {
    "vessel": TUB,
    "mass_kg": 2.6,
    "composition_mass_percent": CURD,
    "initial_c": 80,
    "stages": [{"minutes": 60, "in": "ice bath"}, {"minutes": 600, "in": "still", "ambient_c": 3}],
    "preparation": "cooked (3-501.14 A)",
}
LAYERED = GOOD | {"initial_c": 5, "on_top": {"height_mm": 20, "composition_mass_percent": CURD, "initial_c": 65}}


def tub_with(**changes: Any) -> dict[str, Any]:
    return copy.deepcopy(IN_A_TUB) | changes


def answered(document: dict[str, Any]) -> dict[str, Any]:
    return case_answers([("case", json.dumps(document))])[0]


def errors(document: Any) -> list[tuple[str, str]]:
    with pytest.raises(InputErrors) as found:
        read_case(document)
    for error in found.value.errors:
        assert error.code in CODES
        assert error.message.endswith(".")
    return [(error.code, error.at) for error in found.value.errors]


def stage(**changes: Any) -> dict[str, Any]:
    return tub_with(stages=[{"minutes": 60, "in": "ice bath"} | changes])


WRONG: dict[str, tuple[Any, list[tuple[str, str]]]] = {
    "geometry and vessel": (tub_with(geometry=GOOD["geometry"]), [("schema", "case#/geometry")]),
    "no mass": ({k: v for k, v in IN_A_TUB.items() if k != "mass_kg"}, [("schema", "case#")]),
    "a mass without a vessel": (GOOD | {"mass_kg": 2}, [("schema", "case#/mass_kg")]),
    "an addition without a vessel": (GOOD | {"mixed_in": {}}, [("schema", "case#/mixed_in")]),
    "no object": (tub_with(vessel=[1]), [("schema", "case#/vessel")]),
    "an unknown kind": (tub_with(vessel=TUB | {"kind": "sieve"}), [("schema", "case#/vessel/kind")]),
    "a size of another kind": (tub_with(vessel=TUB | {"diameter_mm": 90}), [("schema", "case#/vessel/diameter_mm")]),
    "a size left out": (tub_with(vessel={"kind": "pot", "depth_mm": 200}), [("schema", "case#/vessel")]),
    "an unknown wall": (tub_with(vessel=TUB | {"wall": "oak"}), [("schema", "case#/vessel/wall")]),
    "a wall of nothing": (tub_with(vessel=TUB | {"wall_mm": 0}), [("out_of_range", "case#/vessel/wall_mm")]),
    "a lid of text": (tub_with(vessel=TUB | {"lid": "on"}), [("schema", "case#/vessel/lid")]),
    "a lid beside films as numbers": (
        tub_with(vessel=TUB | {"lid": True}, stages=[FILM]),
        [("schema", "case#/vessel/lid")],
    ),
    "half a vessel": (tub_with(vessel=TUB | {"count": 1.5}), [("schema", "case#/vessel/count")]),
    "no vessel": (tub_with(vessel=TUB | {"count": 0}), [("out_of_range", "case#/vessel/count")]),
    "more than it holds": (tub_with(mass_kg=9), [("does_not_fit", "case#/vessel")]),
    "a layer above the brim": (
        tub_with(on_top={"height_mm": 30, "composition_mass_percent": CURD, "initial_c": 5}),
        [("does_not_fit", "case#/on_top/height_mm")],
    ),
    "warm ice water": (stage(ambient_c=9), [("out_of_range", "case#/stages/0/ambient_c")]),
    "air without a temperature": (stage(**{"in": "fan"}), [("schema", "case#/stages/0")]),
    "an unknown way": (stage(**{"in": "snow"}, ambient_c=0), [("schema", "case#/stages/0/in")]),
    "a way and films": (stage(h_top=5), [("schema", "case#/stages/0/h_top")]),
    "stirred once": (stage(stirred_every_min=90), [("out_of_range", "case#/stages/0/stirred_every_min")]),
    "stirred in a closed cabinet": (
        tub_with(
            stages=[{"minutes": 90, "in": way, "ambient_c": 3, "stirred_every_min": 5} for way in ("still", "blast")]
        ),
        [("schema", "case#/stages/0/stirred_every_min"), ("schema", "case#/stages/1/stirred_every_min")],
    ),
    "stirred after it is over": (
        tub_with(stages=[{"minutes": 5, "in": "ice bath", "stirred_every_min": 10}, FILM | {"stirred_every_min": 31}]),
        [("out_of_range", f"case#/stages/{at}/stirred_every_min") for at in (0, 1)],
    ),
    "a stirred layer": (
        LAYERED | {"stages": [FILM | {"stirred_every_min": 5}]},
        [("schema", "case#/stages/0/stirred_every_min")],
    ),
    "a layer of nothing": (
        GOOD | {"on_top": {"height_mm": 0, "composition_mass_percent": CURD}},
        [("schema", "case#/on_top"), ("out_of_range", "case#/on_top/height_mm")],
    ),
    "half a layer": (
        GOOD | {"on_top": {"height_mm": 9, "composition_mass_percent": {"water": 10}, "initial_c": 5}},
        [("bad_composition", "case#/on_top/composition_mass_percent")],
    ),
    "an addition below nothing": (
        tub_with(mixed_in={"mass_kg": -1, "composition_mass_percent": CURD, "initial_c": 5}),
        [("negative_amount", "case#/mixed_in/mass_kg")],
    ),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_reported_with_its_place(name: str) -> None:
    document, expected = WRONG[name]
    assert errors(document) == expected


def test_a_filling_is_stirred_on_the_bench_and_in_ice_water_and_nowhere_else_without_a_word() -> None:
    for way in ("room", "ice bath"):
        warm = {} if way == "ice bath" else {"ambient_c": 20}
        read_case(tub_with(stages=[{"minutes": 60, "in": way, "stirred_every_min": 60 / 4} | warm]))
    document = tub_with(stages=[{"minutes": 60, "in": "still", "ambient_c": 3, "stirred_every_min": 5}])
    with pytest.raises(InputErrors) as found:
        read_case(document)
    assert found.value.errors[0].message == (
        "“stirred_every_min” has no meaning in “still”: what stands in a closed cabinet is not stirred. Leave it out, "
        "or stir it in one of: ice bath; room."
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"vessel": TUB | {"length_mm": 25, "width_mm": 16, "depth_mm": 6.5}}, "Sizes are in millimeters and masses"),
        ({"mass_kg": 950}, "Sizes are in millimeters and masses in kilograms."),
        ({"initial_c": 176}, "The temperature at the start is 176 °C. Give -2 to 150 °C. It is in °C, and"),
        ({"composition_mass_percent": {"water": 0.6, "carb": 0.4}}, "The shares add up to 1%. Make them 100%."),
    ],
)
def test_a_mistaken_unit_is_named(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(InputErrors) as found:
        read_case(tub_with(**changes))
    assert words in found.value.errors[0].message


def test_a_batch_in_more_vessels_than_are_proposed_is_answered_without_a_proposal_to_divide_it() -> None:
    changes = {"vessel": TUB | {"count": 30}, "mass_kg": 60, "stages": [{"minutes": 60, "in": "room", "ambient_c": 20}]}
    found = answered(tub_with(**changes))
    assert found["report"]["verdict"] == "not kept"
    assert {one["change"] for one in found["remedies"]} <= {"bath", "bath_first"}


def test_everything_wrong_is_reported_at_once() -> None:
    document = tub_with(
        vessel={"kind": "pot", "diameter_mm": -1, "depth_mm": 9999, "wall": 3},
        mass_kg="heavy",
        mixed_in={"mass_kg": 1},
        on_top=4,
        stages=[{"in": "ice bath"}],
    )
    assert {at for _, at in errors(document)} == {
        "case#/mass_kg",
        "case#/mixed_in",
        "case#/vessel/diameter_mm",
        "case#/vessel/depth_mm",
        "case#/vessel/wall",
        "case#/on_top",
        "case#/stages/0",
    }


def test_a_vessel_with_a_geometry_too_is_refused_with_which_to_leave_out() -> None:
    with pytest.raises(InputErrors) as found:
        read_case(tub_with(geometry=GOOD["geometry"]))
    (error,) = found.value.errors
    assert (error.code, error.at) == ("schema", "case#/geometry")
    assert "a “vessel” or a “geometry”, not both" in error.message
    assert "Leave out “geometry”, or leave out “vessel”, “mass_kg” and “mixed_in”." in error.message


def test_a_mass_without_a_vessel_is_refused_with_what_it_goes_with() -> None:
    with pytest.raises(InputErrors) as found:
        read_case(GOOD | {"mass_kg": 2})
    (error,) = found.value.errors
    assert (error.code, error.at) == ("schema", "case#/mass_kg")
    assert "Give “vessel” instead of “geometry”, or leave “mass_kg” out." in error.message


def test_a_filling_near_the_rim_is_answered_with_a_mark_and_one_below_without() -> None:
    assert "brimful" not in answered(IN_A_TUB)["vessels"]
    assert answered(tub_with(mass_kg=2.8))["vessels"]["brimful"] is True


def test_what_does_not_fit_is_reported_beside_what_else_is_wrong() -> None:
    found = errors(tub_with(mass_kg=9, preparation="raw", stages=[]))
    assert found == [("does_not_fit", "case#/vessel"), ("schema", "case#/stages"), ("schema", "case#/preparation")]


def test_the_sentence_of_an_overfull_vessel_says_how_many_would_do() -> None:
    with pytest.raises(InputErrors) as found:
        read_case(tub_with(mass_kg=6))
    assert found.value.errors[0].message == (
        "One tub holds 2.90 kg, and 6.00 kg would go in. Divide the batch over 3 (“count”), or take a larger one."
    )
    assert read_document(tub_with(mass_kg=6, vessel=TUB | {"count": 3})).plan.fill is not None


def test_a_case_without_the_new_keys_has_an_answer_without_them() -> None:
    assert {"vessels", "report", "remedies"}.isdisjoint(answered(GOOD))
    spelled = GOOD | {"geometry": {"shape": "cylinder", "diameter_mm": 180, "height_mm": 60}}
    assert answered(spelled) == answered(GOOD)


def test_a_batch_is_answered_with_its_filling_its_ice_and_what_would_help() -> None:
    found = answered(IN_A_TUB)
    assert found["vessels"] == {
        "kind": "tub",
        "count": 1,
        "each_kg": 2.6,
        "fill_mm": 58.18,
        "holds_kg": 2.905,
        "computed_as": {"shape": "block", "length_mm": 250, "width_mm": 160, "height_mm": 58.18},
        "ice_kg": 1.67,
    }
    assert found["report"]["verdict"] == "not kept"
    assert found["report"]["slow_end_open"] is None
    assert [one["verdict"] for one in found["remedies"] if one["change"] == "divided"] == ["kept"]
    stirred = answered(stage(minutes=300, stirred_every_min=10))
    assert stirred["report"]["verdict"] == "kept"
    assert "remedies" not in stirred


def test_a_thick_pot_is_answered_with_an_open_slow_end() -> None:
    pot = {"kind": "pot", "diameter_mm": 240, "depth_mm": 250}
    found = answered(tub_with(vessel=pot, mass_kg=8, stages=[{"minutes": 600, "in": "still", "ambient_c": 3}]))
    assert found["report"]["slow_end_open"] == {"thinnest_mm": 158.29, "most_mm": 120}
    assert [one["slow"] for one in found["report"]["minutes_to"]] == [None] * 3


def test_stages_in_words_are_the_kitchens_films() -> None:
    body = GOOD | {"stages": [{"minutes": 600, "in": "still", "ambient_c": 3}]}
    films = GOOD | {"stages": [FILM]}
    assert answered(body)["minutes_to"]["core"] == pytest.approx(answered(films)["minutes_to"]["core"], rel=1e-3)
    assert "report" in answered(body)
    assert "report" not in answered(films)


def test_stirring_counts_beside_films_too() -> None:
    still, stirred = (read_case(GOOD | {"stages": [FILM | more]})[0] for more in ({}, {"stirred_every_min": 5}))
    (one,), (other,) = core_times(still.run(), [20.0]), core_times(stirred.run(), [20.0])
    assert (other or 0) < (one or 0)


def test_a_layer_adds_its_height_and_is_judged_too() -> None:
    case, _ = read_case(LAYERED)
    assert case.body == Cylinder(180, 80)
    assert case.between == pytest.approx(0.75)
    found = answered(LAYERED)
    lower, upper = found["report"]["layers"]
    assert list(found["food_code"]) == ["centre", "core", "lower_layer", "upper_layer"]
    assert found["food_code"]["lower_layer"] == {"complies": False}
    assert (lower["layer"], lower["initial_c"], upper["initial_c"]) == ("lower", 5, 65)
    assert 5 < lower["peak_c"] < lower["warmest_c"] < 65
    assert lower["minutes_above_cold"]["likely"] > 60


def test_what_is_stirred_in_makes_one_batch_of_a_temperature_between() -> None:
    cream = {"mass_kg": 0.3, "composition_mass_percent": {"water": 60, "fat": 36, "protein": 2, "carb": 2}}
    plan = read_document(tub_with(mass_kg=2.3, mixed_in=cream | {"initial_c": 4})).plan
    assert plan.fill is not None
    assert plan.fill.kg == pytest.approx(2.6)
    assert 60 < plan.initial_c < 80 - 76 * 0.3 / 2.6 + 1
    same = read_document(tub_with(mass_kg=2.3, mixed_in=cream | {"initial_c": 80})).plan
    assert same.initial_c == pytest.approx(80)


MIXTURE = Mixture({"water": 45.0, "fat": 20.0, "protein": 4.0, "carb": 30.0, "ash": 1.0}, 2600, 0.0, (), 0.0)


@pytest.mark.parametrize("document", [tub_with(stages=[FILM | {"stirred_every_min": 5}]), LAYERED, GOOD])
def test_a_plan_is_written_as_the_case_it_was_read_from(document: dict[str, Any]) -> None:
    plan = read_document(document).plan
    percent = {name: float(share) for name, share in document["composition_mass_percent"].items()}
    below = Mixture(percent, 1000, document.get("air_fraction", 0.0), (), 0.0)
    written = case_to_json(plan, below, MIXTURE if "on_top" in document else None)
    again = read_document(written).plan
    assert core_times(again.case.run(), [COLD_C]) == pytest.approx(core_times(plan.case.run(), [COLD_C]), rel=1e-3)
    assert (again.fill is None, again.top is None) == (plan.fill is None, plan.top is None)


def test_a_plan_without_vessels_says_nothing_of_an_open_end() -> None:
    case, _ = read_case(GOOD)
    plan = Plan(case.body, case.food, case.initial_c, case.stages, PROFILES[COOKED])
    assert report(plan).layers == ()
    assert Stage(1, 2, 3, 4, 5) == Stage(1, 2, 3, 4, 5, stirred_every_min=None, tops=None, bath=False)


PLACES: list[tuple[str | int, ...]] = [
    ("vessel",),
    ("vessel", "kind"),
    ("vessel", "depth_mm"),
    ("vessel", "wall"),
    ("vessel", "count"),
    ("vessel", "lid"),
    ("mass_kg",),
    ("on_top",),
    ("on_top", "height_mm"),
    ("on_top", "composition_mass_percent"),
    ("mixed_in",),
    ("mixed_in", "initial_c"),
    ("stages", 0, "in"),
    ("stages", 0, "stirred_every_min"),
    ("stages", 0, "ambient_c"),
]


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(PLACES), json_values)
def test_whatever_stands_in_a_case_it_is_answered_or_refused(path: tuple[str | int, ...], value: Any) -> None:
    more = {"height_mm": 2, "composition_mass_percent": CURD, "initial_c": 5}
    added = {"mass_kg": 0.1, "composition_mass_percent": CURD, "initial_c": 5}
    document: Any = tub_with(mixed_in=added, on_top=more)
    owner = document
    for step in path[:-1]:
        owner = owner[step]
    owner[path[-1]] = value
    with contextlib.suppress(InputErrors):  # anything else would be a traceback
        case_answers([("case", json.dumps(document))])
