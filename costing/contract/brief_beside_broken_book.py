"""Check a Brief against a Book that has errors: references, multiples, delivery; no figures."""

from __future__ import annotations

from typing import Any

from costing.contract.brief_reader import BriefReading
from costing.contract.entries import as_count, as_object, as_text, entries
from costing.contract.errors import Param, Path, pointer


def check_beside_broken_book(reading: BriefReading, document: Any) -> None:
    """Add to a Brief's errors those that show even in the document of a Book with errors.

    Parameters
    ----------
    reading : BriefReading
        The Brief as read; its errors grow.
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
        _report(reading, "no_delivery", ("delivery",), "delivery_not_in_book")


def _multiples(book: dict[str, Any]) -> dict[str, int]:
    """Return the sale multiple of each product by code; 1 where it cannot be read.

    Empty when a product's code cannot be read: then no reference can be called unknown.
    """
    found: dict[str, int] = {}
    for _, item in entries(book.get("products"), ()):
        code, multiple = as_text(item.get("code")), as_count(item.get("sale_multiple", 1))
        if not code:
            return {}
        found.setdefault(code, multiple if multiple is not None and multiple > 0 else 1)
    return found


def _lines(reading: BriefReading, multiples: dict[str, int]) -> None:
    seen: set[str] = set()
    for at, line in zip(reading.line_at, reading.brief.lines, strict=True):
        place: Path = ("lines", at, "product")
        if line.product not in multiples:
            _report(reading, "unknown_product", place, "product_not_in_book", product=line.product)
        elif line.product in seen:
            _report(reading, "duplicate_line", place, "product_twice", product=line.product)
        seen.add(line.product)
        multiple = multiples.get(line.product, 1)
        if at not in reading.unread_units and (line.units <= 0 or line.units % multiple):
            asked: dict[str, Param] = {"product": line.product, "multiple": multiple, "units": line.units}
            _report(reading, "bad_units", ("lines", at, "units"), "not_a_multiple_of", **asked)


def _taxes(reading: BriefReading, codes: frozenset[str]) -> None:
    for at, extra in zip(reading.extra_at, reading.brief.extras, strict=True):
        if extra.tax and extra.tax not in codes:
            _report(reading, "unknown_tax", ("extras", at, "tax"), "tax_not_in_book", code=extra.tax)


def _report(reading: BriefReading, code: str, path: Path, reason: str, /, **params: Param) -> None:
    if pointer("brief", path) not in reading.found.unreadable():
        reading.found.report(code, path, reason, **params)
