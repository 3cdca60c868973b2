"""Random cases of the command: none ends in an exception, and none cools in a way that nobody would believe."""

from __future__ import annotations

import copy
import json
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from costing.chilling import case_answers
from costing.chilling.vessels import VESSEL_KINDS
from costing.contract import CostingError, InputErrors

NEVER = 1e9
#: Rounding of printed minutes.
NEAR = 0.05


@st.composite
def foods(draw: st.DrawFn) -> dict[str, float]:
    water = draw(st.floats(20, 90))
    fat = draw(st.floats(0, 100 - water))
    return {"water": water, "fat": fat, "carb": 100 - water - fat}


@st.composite
def vessels(draw: st.DrawFn, depths: tuple[float, float] = (20, 400)) -> dict[str, Any]:
    kind = draw(st.sampled_from(sorted(VESSEL_KINDS)))
    sizes = {key: draw(st.floats(60, 500)) for key in VESSEL_KINDS[kind].sizes if key != "depth_mm"}
    return {"kind": kind, **sizes, "depth_mm": draw(st.floats(*depths))}


@st.composite
def batches(draw: st.DrawFn, depths: tuple[float, float] = (20, 400)) -> dict[str, Any]:
    return {
        "vessel": draw(vessels(depths)),
        "mass_kg": draw(st.floats(0.05, 8)),
        "composition_mass_percent": draw(foods()),
        "initial_c": draw(st.floats(40, 95)),
        "preparation": "cooked (3-501.14 A)",
    }


def in_air(way: str = "still", **more: Any) -> dict[str, Any]:
    return {"stages": [{"minutes": 20160, "in": way, "ambient_c": 0.5, **more}]}


def tried(document: dict[str, Any]) -> tuple[list[Any], tuple[CostingError, ...]]:
    """Return the answer to a case, or its errors."""
    try:
        return case_answers([("case", json.dumps(document))]), ()
    except InputErrors as wrong:
        return [], tuple(wrong.errors)


def minutes(document: dict[str, Any]) -> float:
    """Return when the core is at 5 °C; what does not fit is another case."""
    answers, errors = tried(document)
    assert {one.code for one in errors} <= {"does_not_fit", "freezes"}
    assume(not errors)
    value = answers[0]["minutes_to"]["core"]["41F_5.00C"]
    return NEVER if value is None else float(value)


def no_slower(quick: dict[str, Any], slow: dict[str, Any]) -> bool:
    return minutes(quick) <= minutes(slow) * 1.001 + NEAR


@settings(max_examples=25, deadline=None)
@given(batches(), st.floats(1.01, 2), st.sampled_from(["room", "still", "fan", "blast", "ice bath"]))
def test_deeper_never_cools_faster_and_two_vessels_never_slower_than_one(
    batch: dict[str, Any], more: float, way: str
) -> None:
    one = batch | in_air(way)
    assert no_slower(one, one | {"mass_kg": batch["mass_kg"] * more})
    assert no_slower(one | {"vessel": batch["vessel"] | {"count": 2}}, one)


@settings(max_examples=25, deadline=None)
@given(batches(depths=(20, 100)))
def test_an_ice_bath_is_never_slower_than_a_still_refrigerator_as_cold(batch: dict[str, Any]) -> None:
    """Of a shallow or usual filling. Nothing passes through the top in a bath, as measured pans ask for: a fan on both
    faces may be faster, and in pots wide and deep still air may be by a hundredth."""
    assert no_slower(batch | in_air("ice bath"), batch | in_air("still"))


@settings(max_examples=25, deadline=None)
@given(batches(), st.sampled_from(["room", "ice bath"]), st.floats(1, 30), st.floats(1, 30))
def test_stirring_is_never_slower_and_stirring_more_often_neither(
    batch: dict[str, Any], way: str, often: float, rarely: float
) -> None:
    often, rarely = sorted((often, rarely))
    standing, some, much = (
        batch | in_air(way, **more) for more in ({}, {"stirred_every_min": rarely}, {"stirred_every_min": often})
    )
    assert no_slower(some, standing)
    assert no_slower(much, some)


ODD = st.sampled_from([None, True, "x", "5", [], {}, -1, 0, 1e-9, 1e9, 10**400, 0.5, 2, 30, 180, 2500, float("nan")])
KEYS = ("count", "lid", "wall", "wall_mm", "stands_on", "kind", "in", "ambient_c", "minutes", "stirred_every_min")
WHOLE = ("vessel", "mass_kg", "mixed_in", "on_top", "geometry", "stages", "initial_c", "air_fraction", "property_rule")


@settings(max_examples=150, deadline=None)
@given(batches(), st.lists(st.tuples(st.sampled_from(KEYS + WHOLE), ODD), min_size=1, max_size=4), st.integers(1, 200))
def test_whatever_is_changed_it_is_answered_or_refused_with_places(
    batch: dict[str, Any], changes: list[tuple[str, Any]], count: int
) -> None:
    document: dict[str, Any] = batch | in_air("room")
    document["vessel"] = document["vessel"] | {"count": count}
    for key, value in changes:
        places = [document] if key in WHOLE else [document["vessel"], *_objects(document["stages"])]
        for place in places:
            if isinstance(place, dict):
                place[key] = copy.deepcopy(value)  # one drawn {} put in two places would hold itself
    _, errors = tried(document)  # anything but an error with its place would be a traceback
    assert all(one.at.startswith("case#") and one.message.endswith(".") for one in errors)


def _objects(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
