"""What can be said of a Brief beside a Book that has errors: references, multiples, delivery; no figures."""

from __future__ import annotations

from typing import Any

from costing.contract.brief_json import Reading
from costing.contract.errors import CostingError, Path, pointer
from costing.contract.problems import as_count, as_object, as_text, entries


def tell_beside(reading: Reading, document: Any) -> None:
    """Add to a Brief's findings what the unsound Book's document shows to be wrong with it.

    Parameters
    ----------
    reading : Reading
        The Brief as read; its findings grow.
    document : object
        The Book's JSON document as parsed, or anything else when it could not be.
    """
    book = as_object(document)
    multiples = _multiples(book)
    if multiples:
        _lines(reading, multiples)
    if isinstance(book.get("taxes"), dict):
        _taxes(reading, frozenset(book["taxes"]))
    if reading.brief.delivery is not None and multiples and "delivery" not in book:
        _add(reading, "no_delivery", ("delivery",), "The Book says nothing of delivery. Add its rates to the Book.")


def _multiples(book: dict[str, Any]) -> dict[str, int]:
    """Return the products by code with what they are sold in, 1 where that cannot be read.

    Empty when a product's code cannot be read: then nobody can say which reference leads to nothing.
    """
    found: dict[str, int] = {}
    for _, item in entries(book.get("products"), ()):
        code, multiple = as_text(item.get("code")), as_count(item.get("sale_multiple", 1))
        if not code:
            return {}
        found.setdefault(code, multiple if multiple is not None and multiple > 0 else 1)
    return found


def _lines(reading: Reading, multiples: dict[str, int]) -> None:
    seen: set[str] = set()
    for at, line in zip(reading.line_at, reading.brief.lines, strict=True):
        place: Path = ("lines", at, "product")
        if line.product not in multiples:
            _add(reading, "unknown_product", place, f"There is no product with the code “{line.product}” in the Book.")
        elif line.product in seen:
            _add(reading, "duplicate_line", place, f"“{line.product}” stands on two lines. Put all its units on one.")
        seen.add(line.product)
        multiple = multiples.get(line.product, 1)
        if at not in reading.unread_units and (line.units <= 0 or line.units % multiple):
            words = f"“{line.product}” is sold in multiples of {multiple}, not {line.units}. Ask for such a number."
            _add(reading, "bad_units", ("lines", at, "units"), words)


def _taxes(reading: Reading, codes: frozenset[str]) -> None:
    for at, extra in zip(reading.extra_at, reading.brief.extras, strict=True):
        if extra.tax and extra.tax not in codes:
            _add(reading, "unknown_tax", ("extras", at, "tax"), f"There is no tax with the code “{extra.tax}”.")


def _add(reading: Reading, code: str, path: Path, message: str) -> None:
    place = pointer("brief", path)
    unreadable = any(error.at == place and error.code == "schema" for _, error in reading.found.found)
    if not unreadable:
        reading.found.found.append((path, CostingError(code, place, message)))
