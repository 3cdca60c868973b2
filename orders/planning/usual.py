"""What a kitchen usually makes for so many guests, while nothing is chosen yet: by what was ordered last year."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.db.models import F, Sum

from costing.requirements.portions import ChosenProduct, portions_for_guests
from orders.inquiries.models import Inquiry
from orders.orders.models import OrderLine
from orders.planning.problem import units_of
from orders.quotes.models import Quote
from orders.records.states import OrderStatus

#: Orders handed over in so long a time count, and of what is ordered most so many products.
YEAR: Final = timedelta(days=365)
MOST: Final = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """Units by code of a product; ``usual`` where nothing is chosen yet, so that they are what is ordered most."""

    units: Mapping[str, int] = field(default_factory=dict)
    usual: bool = False


def asked_for(quote: Quote, at: datetime) -> Asked:
    """Return what a quote's table takes, else what is usual for its guests; no units where neither is known."""
    units = units_of(quote.lines.select_related("product"))
    return Asked(units) if units else Asked(usual_units(quote.inquiry, at), usual=True)


def usual_units(inquiry: Inquiry, at: datetime) -> dict[str, int]:
    """Return the units of what was ordered most in the year until ``at``, for an inquiry's guests; one query.

    By pieces, of what is still sold. Pieces for each guest are the inquiry's, else those of these orders. Nothing
    where nobody said how many guests come, or nothing was ordered.
    """
    if not inquiry.guests:
        return {}
    lines = OrderLine.objects.filter(
        order__window_start__gt=at - YEAR, order__window_start__lte=at, product__active=True
    ).exclude(order__status=OrderStatus.CANCELED)
    facts = lines.values("product__code", "product__sale_multiple", "product__servings")
    summed = facts.annotate(pieces=Sum(F("units") * F("product__servings"))).order_by("-pieces", "product__code")
    rows = list(summed[:MOST])
    each = inquiry.pieces_per_guest or _pieces_each(at)
    if not rows or not each:
        return {}
    choices = [
        ChosenProduct(
            row["product__code"], Fraction(row["pieces"]), row["product__sale_multiple"], row["product__servings"]
        )
        for row in rows
    ]
    found = portions_for_guests(inquiry.guests, Fraction(each), choices)
    return {one.product: one.units for one in found.products if one.units}


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
