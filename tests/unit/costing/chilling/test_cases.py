"""Cases from JSON: what is wrong is reported all at once, with its place; and the command around it."""

from __future__ import annotations

import contextlib
import copy
import io
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import Block, Slab, case_answers, read_case
from costing.chilling.cases import CODES
from costing.contract import InputErrors

GOOD: dict[str, Any] = {
    "geometry": {"shape": "cylinder", "diameter_mm": 180, "height_mm": 60},
    "composition_mass_percent": {"water": 60, "fat": 18, "protein": 5, "carb": 16, "ash": 1},
    "air_fraction": 0.1,
    "initial_c": 65,
    "stages": [{"minutes": 900, "ambient_c": 3, "h_top": 9, "h_side": 9, "h_bottom": 5}],
    "preparation": "cooked (3-501.14 A)",
}


def case_with(**changes: Any) -> dict[str, Any]:
    return copy.deepcopy(GOOD) | changes


def stage_with(**changes: Any) -> dict[str, Any]:
    return case_with(stages=[GOOD["stages"][0] | changes])


def errors(document: Any) -> list[tuple[str, str]]:
    with pytest.raises(InputErrors) as found:
        read_case(document)
    for error in found.value.errors:
        assert error.code in CODES
        assert error.message.endswith(".")
    return [(error.code, error.at) for error in found.value.errors]


WRONG: dict[str, tuple[Any, list[tuple[str, str]]]] = {
    "no object": ([GOOD], [("schema", "case#")]),
    "a key too many": (case_with(oven=1), [("schema", "case#/oven")]),
    "a size below nothing": (
        case_with(geometry={"shape": "slab", "height_mm": -5}),
        [("negative_amount", "case#/geometry/height_mm")],
    ),
    "a size of nothing": (
        case_with(geometry={"shape": "slab", "height_mm": 0}),
        [("out_of_range", "case#/geometry/height_mm")],
    ),
    "a house": (
        case_with(geometry={"shape": "block", "length_mm": 9000, "width_mm": 9000, "height_mm": 3000}),
        [("out_of_range", f"case#/geometry/{key}_mm") for key in ("length", "width", "height")],
    ),
    "a size of another shape": (
        case_with(geometry={"shape": "slab", "diameter_mm": 20, "height_mm": 20}),
        [("schema", "case#/geometry/diameter_mm")],
    ),
    "another shape": (case_with(geometry={"shape": "ball", "diameter_mm": 50}), [("schema", "case#/geometry/shape")]),
    "no shape": (case_with(geometry={"height_mm": 50}), [("schema", "case#/geometry")]),
    "a size left out": (case_with(geometry={"shape": "cylinder", "height_mm": 50}), [("schema", "case#/geometry")]),
    "half a composition": (
        case_with(composition_mass_percent={"water": 50}),
        [("bad_composition", "case#/composition_mass_percent")],
    ),
    "an unknown component": (
        case_with(composition_mass_percent={"water": 60, "sugar": 40}),
        [("schema", "case#/composition_mass_percent/sugar")],
    ),
    "foam": (case_with(air_fraction=0.9), [("out_of_range", "case#/air_fraction")]),
    "a frozen start": (case_with(initial_c=-18), [("out_of_range", "case#/initial_c")]),
    "text for a number": (case_with(initial_c="65"), [("schema", "case#/initial_c")]),
    "truth for a number": (stage_with(minutes=True), [("schema", "case#/stages/0/minutes")]),
    "no number": (stage_with(h_top=float("nan")), [("out_of_range", "case#/stages/0/h_top")]),
    "endless": (stage_with(minutes=float("inf")), [("out_of_range", "case#/stages/0/minutes")]),
    "more digits than a float holds": (stage_with(minutes=10**400), [("out_of_range", "case#/stages/0/minutes")]),
    "a film below nothing": (stage_with(h_side=-1), [("negative_amount", "case#/stages/0/h_side")]),
    "air of the moon": (stage_with(ambient_c=-150), [("out_of_range", "case#/stages/0/ambient_c")]),
    "no stages": (case_with(stages=[]), [("schema", "case#/stages")]),
    "stages without a list": (case_with(stages={}), [("schema", "case#/stages")]),
    "another rule": (case_with(property_rule={"k": "series"}), [("schema", "case#/property_rule/k")]),
    "another preparation": (case_with(preparation="raw"), [("schema", "case#/preparation")]),
    "a blast that freezes": (stage_with(ambient_c=-20, h_top=40, h_side=40), [("freezes", "case#/stages/0")]),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_reported_with_its_place(name: str) -> None:
    document, expected = WRONG[name]
    assert errors(document) == expected


@pytest.mark.parametrize("key", [key for key in GOOD if key != "air_fraction"])
def test_what_is_missing_is_named_once(key: str) -> None:
    assert errors({name: value for name, value in GOOD.items() if name != key}) == [("schema", "case#")]


def test_everything_wrong_is_reported_at_once() -> None:
    found = errors(
        {
            "geometry": {"shape": "cylinder", "diameter_mm": "wide", "height_mm": -1},
            "composition_mass_percent": {"water": 120},
            "initial_c": None,
            "stages": [{"minutes": 5}, 3],
            "preparation": 1,
        }
    )
    assert [at for _, at in found if "stages" not in at] == [
        "case#/geometry/diameter_mm",
        "case#/geometry/height_mm",
        "case#/composition_mass_percent/water",
        "case#/initial_c",
        "case#/preparation",
    ]
    assert [at for _, at in found if "stages" in at] == ["case#/stages/0"] * 4 + ["case#/stages/1"]


def test_air_fraction_and_rule_may_be_left_out_and_the_rules_temperature_counts() -> None:
    plain = {key: value for key, value in GOOD.items() if key != "air_fraction"}
    assert read_case(plain)[0] == read_case(plain | {"air_fraction": 0, "property_rule": {"temperature_c": 30}})[0]
    warmer = read_case(plain | {"property_rule": {"temperature_c": 60}})[0]
    assert warmer.food.k > read_case(plain)[0].food.k


def test_a_short_stage_of_freezing_air_is_let_through() -> None:
    case, _ = read_case(stage_with(ambient_c=-20, minutes=3))
    assert case.stages[0].ambient_c == -20


def test_blocks_and_slabs_are_read() -> None:
    block = {"shape": "block", "length_mm": 300, "width_mm": 100, "height_mm": 40}
    assert read_case(case_with(geometry=block))[0].body == Block(300, 100, 40)
    assert read_case(case_with(geometry={"shape": "slab", "height_mm": 40}))[0].body == Slab(40)


def test_a_block_is_answered_like_any_other_case() -> None:
    block = {"shape": "block", "length_mm": 300, "width_mm": 100, "height_mm": 40}
    (found, round_one) = case_answers([("a", json.dumps(case_with(geometry=block))), ("b", json.dumps(GOOD))])
    assert list(found) == list(round_one)
    assert found["minutes_to"]["core"]["41F_5.00C"] > 0


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.just(-(10**400))
    | st.floats(allow_nan=True)
    | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


PLACES: list[tuple[str | int, ...]] = [
    ("geometry",),
    ("geometry", "shape"),
    ("geometry", "height_mm"),
    ("composition_mass_percent",),
    ("composition_mass_percent", "fat"),
    ("air_fraction",),
    ("initial_c",),
    ("stages",),
    ("stages", 0),
    ("stages", 0, "minutes"),
    ("preparation",),
    ("property_rule",),
    ("property_rule", "k"),
]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(PLACES), json_values)
def test_whatever_stands_in_a_case_it_is_answered_or_refused(path: tuple[str | int, ...], value: Any) -> None:
    document: Any = copy.deepcopy(GOOD) | {"property_rule": {}}
    owner = document
    for step in path[:-1]:
        owner = owner[step]
    owner[path[-1]] = value
    with contextlib.suppress(InputErrors):  # anything else would be a traceback
        read_case(document)


Printed = tuple[int, str, str]


@pytest.fixture
def cooling(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Callable[..., Printed]:
    """Run the command on documents, given as objects, text or paths."""

    def run(*documents: Any) -> Printed:
        paths = []
        for at, document in enumerate(documents):
            path = tmp_path / f"case{at}.json"
            if isinstance(document, dict | list):
                path.write_text(json.dumps(document))
            elif isinstance(document, bytes):
                path.write_bytes(document)
            paths.append(document if isinstance(document, str) else str(path))
        code = 0
        try:
            call_command("cooling", *paths)
        except SystemExit as left:
            code = int(left.code or 0)
        return (code, *capsys.readouterr())

    return run


def test_the_command_prints_one_answer_a_line(cooling: Callable[..., Printed]) -> None:
    code, out, err = cooling(GOOD, case_with(initial_c=60))
    assert (code, err) == (0, "")
    assert [json.loads(line)["food_code"]["core"]["clause"] for line in out.splitlines()] == ["3-501.14(A)"] * 2


def test_the_command_reads_standard_input(cooling: Callable[..., Printed], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(GOOD).encode())))
    code, out, _ = cooling("-")
    assert code == 0
    assert json.loads(out)["properties"]


@pytest.mark.parametrize("text", [b"", b"{", b"\xff\xfe", b'{"initial_c": NaN}', b'{"a": 1, "a": 2}', b"[" * 100000])
def test_what_is_no_json_is_reported_as_an_error(cooling: Callable[..., Printed], text: bytes) -> None:
    code, out, err = cooling(text)
    assert (code, out) == (2, "")
    assert json.loads(err)["errors"][0]["code"] == "schema"


def test_a_bad_case_among_good_ones_prints_every_error_and_no_answer(cooling: Callable[..., Printed]) -> None:
    code, out, err = cooling(GOOD, case_with(initial_c="hot", air_fraction=3), "missing.json")
    found = json.loads(err)["errors"]
    assert (code, out) == (2, "")
    assert [set(error) for error in found] == [{"code", "at", "message"}] * 3
    assert [error["at"] for error in found] == ["case#", "case#/air_fraction", "case#/initial_c"]
    assert found[0]["message"].startswith("missing.json cannot be read")
    assert "case1.json: " in found[1]["message"]
