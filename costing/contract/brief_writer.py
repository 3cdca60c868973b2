"""A Brief as its JSON document."""

from __future__ import annotations

from typing import Any

from costing.contract.book import ZERO
from costing.contract.brief import Brief, DeliveryTerms
from costing.contract.writing import stated

FORMAT = "coldset-brief/1"


def write_brief(brief: Brief) -> dict[str, Any]:
    """Write a Brief as its JSON document.

    Parameters
    ----------
    brief : Brief
        Any Brief.

    Returns
    -------
    dict
        `read_brief` gives the same Brief; values equal to their default are left out.

    Raises
    ------
    ValueError
        When a number has no finite decimal form.
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
            ("delivery", None if brief.delivery is None else _delivery(brief.delivery), None),
            ("discount", brief.discount, ZERO),
            ("rush", brief.rush, False),
        )
    )


def _delivery(terms: DeliveryTerms) -> dict[str, Any]:
    return stated(
        (
            ("km", terms.km, ...),
            ("minutes", terms.minutes, ...),
            ("crew", terms.crew, ...),
            ("setup_minutes", terms.setup_minutes, ZERO),
        )
    )
