"""Every error found, at once: beside a broken Book, beside a broken line, and what is no error at all."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from costing.contract import InputErrors
from costing.headless import estimates

EXAMPLES = Path(__file__).parent / "examples"

BOOK: dict[str, Any] = json.loads((EXAMPLES / "small.book.json").read_text())
BRIEF: dict[str, Any] = json.loads((EXAMPLES / "small.dessert-table.brief.json").read_text())


def errors_found(book: dict[str, Any], brief: dict[str, Any]) -> set[tuple[str, str]]:
    with pytest.raises(InputErrors) as found:
        estimates(("book", json.dumps(book)), [("brief", json.dumps(brief))])
    return {(error.code, error.at) for error in found.value.errors}


def changed(document: dict[str, Any], **values: Any) -> dict[str, Any]:
    return copy.deepcopy(document) | values


def test_a_broken_book_does_not_hide_what_is_wrong_with_the_brief() -> None:
    book = changed(BOOK)
    book["kitchen"]["waste"] = "-1"
    del book["delivery"]
    lines = [
        {"product": "foam", "units": 0},
        {"product": "set-cream-glass", "units": 13},
        {"product": "set-cream-glass", "units": 12},
    ]
    extras = [{"code": "x", "cost": "1", "amount": "1", "tax": "moon"}]
    assert errors_found(book, changed(BRIEF, lines=lines, extras=extras)) >= {
        ("bad_share", "book#/kitchen/waste"),
        ("unknown_product", "brief#/lines/0/product"),
        ("bad_units", "brief#/lines/0/units"),
        ("bad_units", "brief#/lines/1/units"),
        ("duplicate_line", "brief#/lines/2/product"),
        ("unknown_tax", "brief#/extras/0/tax"),
        ("no_delivery", "brief#/delivery"),
    }


@pytest.mark.parametrize("book", ["not json", "[]", '{"products": 5, "taxes": []}', '{"products": [{"code": 3}, 7]}'])
def test_a_book_that_is_none_still_gives_only_errors(book: str) -> None:
    with pytest.raises(InputErrors) as found:
        estimates(("book", book), [("brief", json.dumps(BRIEF))])
    assert any(error.at.startswith("book#") for error in found.value.errors)


def test_a_second_line_of_a_product_is_checked_for_its_units_too() -> None:
    lines = [{"product": "set-cream-glass", "units": 12}, {"product": "set-cream-glass", "units": 13}]
    assert errors_found(BOOK, changed(BRIEF, lines=lines)) >= {
        ("duplicate_line", "brief#/lines/1/product"),
        ("bad_units", "brief#/lines/1/units"),
    }


def test_units_of_an_unknown_product_must_at_least_be_positive() -> None:
    assert errors_found(BOOK, changed(BRIEF, lines=[{"product": "foam", "units": -3}])) >= {
        ("unknown_product", "brief#/lines/0/product"),
        ("bad_units", "brief#/lines/0/units"),
    }


def test_a_delivery_that_cannot_be_read_is_still_not_in_the_book() -> None:
    book = changed(BOOK)
    del book["delivery"]
    assert errors_found(book, changed(BRIEF, delivery={"km": "1", "minutes": "2"})) >= {
        ("schema", "brief#/delivery"),
        ("no_delivery", "brief#/delivery"),
    }


@pytest.mark.parametrize("lines", [{}, {"lines": []}])
def test_a_recipe_without_lines_is_no_error(lines: dict[str, Any]) -> None:
    book = changed(BOOK)
    book["recipes"].append({"code": "air", "name": "Air", **lines})
    book["products"][0]["fill"].append({"recipe": "air", "amount": "5 g"})
    [estimate] = estimates(("book", json.dumps(book)), [("brief", json.dumps(BRIEF))])
    assert {"recipe": "air", "grams": "500", "batches": 1, "labour_minutes": "0"} in estimate["recipes"]
