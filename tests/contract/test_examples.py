"""The contract's own examples: every Estimate, every error."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import jsonpatch
import pytest

from costing import InputErrors, estimate, read_book, read_brief, write_estimate
from costing.contract import write_book
from costing.contract.schema import validator
from costing.headless import estimates
from tests.contract.comparing import differences

EXAMPLES = Path(__file__).parent / "examples"
BRIEFS = sorted(path.name.removesuffix(".brief.json") for path in EXAMPLES.glob("*.brief.json"))
ERRORS = json.loads((EXAMPLES / "errors.json").read_text())


def loaded(name: str) -> Any:
    return json.loads((EXAMPLES / name).read_text())


def book_of(name: str) -> Any:
    return loaded(name.split(".")[0] + ".book.json")


def test_there_are_examples() -> None:
    assert len(BRIEFS) == 9
    assert len(ERRORS["cases"]) == 12


@pytest.mark.parametrize("name", BRIEFS)
def test_an_example_gives_its_estimate(name: str) -> None:
    found = write_estimate(estimate(read_book(book_of(name)), read_brief(loaded(f"{name}.brief.json"))))
    assert list(differences(found, loaded(f"{name}.estimate.json"), Fraction(1, 10**11))) == []
    assert list(validator("estimate").iter_errors(found)) == []


@pytest.mark.parametrize("name", BRIEFS)
def test_the_comparison_notices_a_changed_figure(name: str) -> None:
    wanted = loaded(f"{name}.estimate.json")
    changed = json.loads(json.dumps(wanted))
    changed["totals"]["total"] = str(Fraction(wanted["totals"]["total"]) + 1)
    changed["lines"][0]["cost"] = "0.1"
    assert len(list(differences(changed, wanted))) == 2


@pytest.mark.parametrize("case", ERRORS["cases"], ids=lambda case: f"{case['code']} {case['at']}")
def test_a_broken_example_is_refused_at_the_right_place(case: dict[str, Any]) -> None:
    documents = {"book": loaded(ERRORS["book"]), "brief": loaded(ERRORS["brief"])}
    documents[case["in"]] = jsonpatch.apply_patch(documents[case["in"]], case["patch"])
    with pytest.raises(InputErrors) as found:
        estimates(("book", json.dumps(documents["book"])), [("brief", json.dumps(documents["brief"]))])
    assert (case["code"], case["at"]) in {(error.code, error.at) for error in found.value.errors}
    for error in found.value.errors:
        assert error.message.endswith(".")
        assert error.message[0].isupper() or error.message[0] in "“0123456789"


@pytest.mark.parametrize("name", ["small", "small-gross", "generated-11", "generated-12"])
def test_a_book_round_trip_loses_nothing(name: str) -> None:
    document = loaded(f"{name}.book.json")
    book = read_book(document)
    written = write_book(book)
    assert read_book(written) == book
    assert write_book(read_book(json.dumps(written))) == written
    # What the document says beyond the defaults is written again, text for text.
    assert list(missing(document, written)) == []


DEFAULTS: dict[str, Any] = {
    "waste": "0", "floor_margin": "0", "order_minimum": "0", "rush_rate": "0", "on_cost": "0", "yield": "1",
    "charge": "used", "base": "g", "loss": "0", "per_batch": "0", "per_kg": "0", "spare": "0", "sale_multiple": 1,
    "per_load": "0", "per_unit": "0", "from_units": 0, "minimum": "0", "preferred": False, "prices": "net", "cup": "us",
}  # fmt: skip


def missing(wording: Any, written: Any, at: str = "") -> list[str]:
    if isinstance(wording, dict):
        found: list[str] = []
        for key, value in wording.items():
            if key in written:
                found += missing(value, written[key], f"{at}/{key}")
            elif value != [] and not (key in DEFAULTS and same(value, DEFAULTS[key])):
                found.append(f"{at}/{key}")
        return found
    if isinstance(wording, list):
        assert len(wording) == len(written), at
        return [gap for i, item in enumerate(wording) for gap in missing(item, written[i], f"{at}/{i}")]
    return [] if wording == written else [f"{at}: {written!r} instead of {wording!r}"]


def same(value: Any, default: Any) -> bool:
    if isinstance(value, str) and value[:1].isdigit():
        return Fraction(value) == Fraction(default)
    return bool(value == default)
