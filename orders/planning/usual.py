"""What a kitchen usually makes for so many guests, while nothing is chosen yet.

By what its owner states of each guest's pieces; where she states nothing, by what was ordered last year.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.db.models import F, Sum

from catalog.products.models import Product
from costing.requirements.portions import ChosenProduct, portions_for_guests
from orders.inquiries.models import Inquiry
from orders.orders.models import OrderLine
from orders.planning.problem import units_of
from orders.quotes.models import Quote
from orders.records.states import OrderStatus

#: Orders handed over in so long a time count, and of what is ordered most so many products.
YEAR: Final = timedelta(days=365)
MOST: Final = 3

#: What usual units rest on: what the owner states, or what was ordered.
STATED: Final = "stated"
ORDERED: Final = "ordered"


@dataclass(frozen=True, slots=True)
class Asked:
    """Units by code of a product; where nothing is chosen yet, ``usual`` is what they rest on: STATED or ORDERED."""

    units: Mapping[str, int] = field(default_factory=dict)
    usual: str = ""


def asked_for(quote: Quote, at: datetime) -> Asked:
    """Return what a quote's table takes, else what is usual for its guests; no units where neither is known."""
    units = units_of(quote.lines.select_related("product"))
    return Asked(units) if units else usual_for(quote.inquiry, at)


def usual_units(inquiry: Inquiry, at: datetime) -> Mapping[str, int]:
    """Return the units of what is usual for an inquiry's guests; one query, or three where the owner states nothing."""
    return usual_for(inquiry, at).units


def usual_for(inquiry: Inquiry, at: datetime) -> Asked:
    """Return what is usual for an inquiry's guests; nothing where nobody said how many come, or nothing is known.

    What the owner states of what is sold; else what was ordered most in the year until ``at``. Pieces for each guest
    are the inquiry's, else those that are usual.
    """
    if not inquiry.guests:
        return Asked()
    choices = _stated()
    if choices:
        return Asked(_units(inquiry, choices, sum((one.share for one in choices), Fraction(0))), usual=STATED)
    choices = _ordered(at)
    each = _pieces_each(at) if choices and not inquiry.pieces_per_guest else Fraction(0)
    return Asked(_units(inquiry, choices, each), usual=ORDERED)


def _units(inquiry: Inquiry, choices: list[ChosenProduct], each: Fraction) -> dict[str, int]:
    """Return the units of some products for an inquiry's guests: its own pieces for each of them, else ``each``."""
    pieces = Fraction(inquiry.pieces_per_guest or each)
    if not choices or not pieces:
        return {}
    found = portions_for_guests(inquiry.guests or 0, pieces, choices)
    return {one.product: one.units for one in found.products if one.units}


def _stated() -> list[ChosenProduct]:
    """Return what the owner states, its share the pieces of each guest; one query."""
    rows = Product.objects.filter(active=True, usual_pieces__isnull=False).order_by("position", "pk")
    facts = rows.values_list("code", "usual_pieces", "sale_multiple", "servings")
    return [ChosenProduct(code, Fraction(share or 0), multiple, servings) for code, share, multiple, servings in facts]


def _ordered(at: datetime) -> list[ChosenProduct]:
    """Return what was ordered most in a year, by pieces, of what is still sold; one query."""
    lines = OrderLine.objects.filter(
        order__window_start__gt=at - YEAR, order__window_start__lte=at, product__active=True
    ).exclude(order__status=OrderStatus.CANCELED)
    facts = lines.values("product__code", "product__sale_multiple", "product__servings")
    summed = facts.annotate(pieces=Sum(F("units") * F("product__servings"))).order_by("-pieces", "product__code")
    return [
        ChosenProduct(
            row["product__code"], Fraction(row["pieces"]), row["product__sale_multiple"], row["product__servings"]
        )
        for row in summed[:MOST]
    ]


def _pieces_each(at: datetime) -> Fraction:
    """Return how many pieces each guest had in the orders of the year; one query."""
    lines = OrderLine.objects.filter(order__window_start__gt=at - YEAR, order__window_start__lte=at)
    lines = lines.exclude(order__status=OrderStatus.CANCELED).filter(order__quote__inquiry__guests__gt=0)
    rows = lines.values_list("order_id", "order__quote__inquiry__guests", "units", "product__servings")
    guests, pieces = dict[int, int](), Decimal(0)
    for order, count, units, servings in rows:
        guests[order] = count or 0
        pieces += units * servings
    return Fraction(pieces) / sum(guests.values()) if guests else Fraction(0)
