"""The Brief to and from its JSON document, and what can be read of one that has errors."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from costing.contract.book import ZERO
from costing.contract.brief import Brief, BriefLine, DeliveryTerms, Extra
from costing.contract.documents import read_json
from costing.contract.errors import CostingError, InputErrors, Path
from costing.contract.problems import (
    DISCOUNT,
    NOT_NEGATIVE,
    Problems,
    Ranges,
    as_count,
    as_decimal,
    as_object,
    as_text,
    check_numbers,
    entries,
)
from costing.contract.schema import schema_errors
from costing.contract.stating import stated

FORMAT = "coldset-brief/1"
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
class Reading:
    """What could be read of a Brief: the sound part, where its lines and extras stand, and what was found wrong.

    `unread_units` are the lines whose units could not be read; `dated` and `taxed` say whether the costing date and
    the supply date could be read.
    """

    brief: Brief
    line_at: tuple[int, ...]
    extra_at: tuple[int, ...]
    unread_units: frozenset[int]
    dated: bool
    taxed: bool
    found: Problems


def read_brief(document: Any) -> Reading:
    """Check a Brief by itself and read what is sound of it.

    Parameters
    ----------
    document : object
        The JSON document as parsed.

    Returns
    -------
    Reading
        With every error that can be seen without the Book.
    """
    found = Problems("brief", document)
    found.found.extend(schema_errors(document, "brief"))
    item = as_object(document)
    check_numbers(found, item, (), BRIEF)
    check_numbers(found, as_object(item.get("delivery")), ("delivery",), DELIVERY)
    for path, line in entries(item.get("lines"), ("lines",)):
        check_numbers(found, line, path, LINE)
    for path, extra in entries(item.get("extras"), ("extras",)):
        check_numbers(found, extra, path, EXTRA)
    return _reading(found, item)


def _reading(found: Problems, item: dict[str, Any]) -> Reading:
    lines = [(_position(path), line) for path, line in entries(item.get("lines"), ()) if "product" in line]
    extras = list(entries(item.get("extras"), ()))
    costing, supply = _day(item.get("date")), _day(item.get("supply_date"))
    delivery = item.get("delivery")
    return Reading(
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


def brief_from_json(document: Any) -> Brief:
    """Check a Brief's JSON document by itself and read it.

    Parameters
    ----------
    document : object, str or bytes
        As parsed, or as text.

    Returns
    -------
    Brief
        The Brief; what needs the Book is checked by `costing.estimate`.

    Raises
    ------
    InputErrors
        Everything found wrong, at once.
    """
    if isinstance(document, str | bytes):
        document = read_json(document, "brief")
    reading = read_brief(document)
    errors: list[CostingError] = reading.found.in_order()
    if errors:
        raise InputErrors(errors)
    return reading.brief


def brief_to_json(brief: Brief) -> dict[str, Any]:
    """Write a Brief as its JSON document.

    Parameters
    ----------
    brief : Brief
        Any Brief.

    Returns
    -------
    dict
        `brief_from_json` reads the same Brief back; what is at its default is left out.
    """
    lines = [
        stated((("product", line.product, ...), ("units", line.units, ...), ("unit_price", line.unit_price, None)))
        for line in brief.lines
    ]
    extras = [
        stated((("code", x.code, ...), ("cost", x.cost, ...), ("amount", x.amount, ...), ("tax", x.tax, ...)))
        for x in brief.extras
    ]
    return stated(
        (
            ("format", FORMAT, ...),
            ("date", brief.date, ...),
            ("supply_date", brief.supply_date, None),
            ("customer_kind", brief.customer_kind, None),
            ("tax_exempt", brief.tax_exempt, False),
            ("lines", lines, ...),
            ("extras", extras, []),
            ("delivery", None if brief.delivery is None else _delivery_written(brief.delivery), None),
            ("discount", brief.discount, ZERO),
            ("rush", brief.rush, False),
        )
    )


def _delivery_written(terms: DeliveryTerms) -> dict[str, Any]:
    setup: Fraction = terms.setup_minutes
    return stated(
        (
            ("km", terms.km, ...),
            ("minutes", terms.minutes, ...),
            ("crew", terms.crew, ...),
            ("setup_minutes", setup, ZERO),
        )
    )
