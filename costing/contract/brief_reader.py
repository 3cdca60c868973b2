"""Read a Brief from its JSON document, also the sound part of one that has errors."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from costing.contract.book import ZERO
from costing.contract.brief import Brief, BriefLine, DeliveryTerms, Extra
from costing.contract.documents import parsed
from costing.contract.entries import (
    DocumentEntry,
    Entry,
    ValueEntry,
    as_count,
    as_decimal,
    as_object,
    as_text,
    entries,
)
from costing.contract.errors import InputErrors, Path
from costing.contract.problems import Problems
from costing.contract.ranges import DISCOUNT, NOT_NEGATIVE, Ranges, check_ranges
from costing.contract.schema import check_schema

BRIEF: Ranges = {"discount": DISCOUNT}
LINE: Ranges = {"unit_price": NOT_NEGATIVE}
EXTRA: Ranges = {"cost": NOT_NEGATIVE, "amount": NOT_NEGATIVE}
DELIVERY: Ranges = {
    "km": NOT_NEGATIVE,
    "minutes": NOT_NEGATIVE,
    "crew": NOT_NEGATIVE,
    "setup_minutes": NOT_NEGATIVE,
}


@dataclass(frozen=True, slots=True)
class BriefReading:
    """The result of reading a Brief.

    Parameters
    ----------
    brief : Brief
        The sound part.
    line_at, extra_at : tuple of int
        Where its lines and extras stand in the document.
    unread_units : frozenset of int
        Positions of lines whose units could not be read.
    dated, taxed : bool
        Whether the costing date and the supply date could be read.
    found : Problems
        Every error that can be seen without the Book.
    """

    brief: Brief
    line_at: tuple[int, ...]
    extra_at: tuple[int, ...]
    unread_units: frozenset[int]
    dated: bool
    taxed: bool
    found: Problems


def read_brief(document: Any) -> Brief:
    """Check a Brief's JSON document by itself and read it.

    Parameters
    ----------
    document : object, str or bytes
        As parsed, or as text.

    Returns
    -------
    Brief
        `costing.estimate` checks what needs the Book.

    Raises
    ------
    InputErrors
        Everything found wrong that can be seen without the Book, at once.
    """
    reading = read_what_is_sound(parsed(document, "brief"))
    errors = reading.found.in_order()
    if errors:
        raise InputErrors(errors)
    return reading.brief


def read_what_is_sound(document: Any) -> BriefReading:
    """Check a Brief by itself and read its sound part.

    Parameters
    ----------
    document : object
        The JSON document as parsed.

    Returns
    -------
    BriefReading
        With every error that can be seen without the Book.
    """
    found = Problems("brief", document)
    check_schema(found, document)
    _check_numbers(found, DocumentEntry(document))
    item = as_object(document)
    lines = [(_position(path), line) for path, line in entries(item.get("lines"), ()) if "product" in line]
    extras = list(entries(item.get("extras"), ()))
    costing, supply = _day(item.get("date")), _day(item.get("supply_date"))
    delivery = item.get("delivery")
    return BriefReading(
        brief=Brief(
            date=costing or date.min,
            lines=tuple(
                BriefLine(
                    as_text(line["product"]) or "", as_count(line.get("units")) or 0, as_decimal(line.get("unit_price"))
                )
                for _, line in lines
            ),
            supply_date=supply,
            customer_kind=as_text(item.get("customer_kind")),
            tax_exempt=item.get("tax_exempt") is True,
            extras=tuple(_extra(extra) for _, extra in extras),
            delivery=_delivery(delivery) if isinstance(delivery, dict) else None,
            discount=as_decimal(item.get("discount")) or ZERO,
            rush=item.get("rush") is True,
        ),
        line_at=tuple(at for at, _ in lines),
        extra_at=tuple(_position(path) for path, _ in extras),
        unread_units=frozenset(at for at, line in lines if as_count(line.get("units")) is None),
        dated=costing is not None,
        taxed=(supply if "supply_date" in item else costing) is not None,
        found=found,
    )


def reading_of(brief: Brief) -> BriefReading:
    """Check a Brief that was built in code, without its Book.

    Parameters
    ----------
    brief : Brief
        Any Brief.

    Returns
    -------
    BriefReading
        All of it, with every error that can be seen without the Book.
    """
    found = Problems("brief", brief)
    if not brief.lines:
        found.report("schema", ("lines",), "no_lines")
    _check_numbers(found, ValueEntry(brief))
    lines, extras = tuple(range(len(brief.lines))), tuple(range(len(brief.extras)))
    return BriefReading(brief, lines, extras, frozenset(), dated=True, taxed=True, found=found)


def _check_numbers(found: Problems, brief: Entry) -> None:
    check_ranges(found, brief, (), BRIEF)
    if brief.has("delivery"):
        check_ranges(found, brief.object("delivery"), ("delivery",), DELIVERY)
    for path, line in brief.listed("lines"):
        check_ranges(found, line, path, LINE)
    for path, extra in brief.listed("extras"):
        check_ranges(found, extra, path, EXTRA)


def _position(path: Path) -> int:
    return path[-1] if isinstance(path[-1], int) else 0


def _day(value: Any) -> date | None:
    text = as_text(value)
    if text is None or len(text) != 10:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _extra(item: dict[str, Any]) -> Extra:
    return Extra(
        as_text(item.get("code")) or "",
        as_decimal(item.get("cost")) or ZERO,
        as_decimal(item.get("amount")) or ZERO,
        as_text(item.get("tax")) or "",
    )


def _delivery(item: dict[str, Any]) -> DeliveryTerms:
    return DeliveryTerms(
        as_decimal(item.get("km")) or ZERO,
        as_decimal(item.get("minutes")) or ZERO,
        as_count(item.get("crew")) or 0,
        as_decimal(item.get("setup_minutes")) or ZERO,
    )
