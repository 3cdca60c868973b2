"""A price so far from the one before that it may be a slip, such as a point left out."""

from datetime import date
from decimal import Decimal
from typing import Final

from catalog.pantry.models import Pack
from costing.measures.measure import parse_measure

#: How many times dearer or cheaper than before a price is asked about: a figure or a point too many. Own choice.
LEAP: Final = 3


def is_leap(before: Decimal, price: Decimal) -> bool:
    """Return whether a price is so far from the one before that it may be a slip."""
    return bool(before) and not before / LEAP < price < before * LEAP


def price_in_force(*, ingredient_id: int, size: str, supplier: str, day: date) -> Decimal | None:
    """Return the supplier's latest price of a pack that began by a day; None without one. One query."""
    named = " ".join(supplier.split())
    whose = {"supplier__name__iexact": named} if named else {"supplier": None}
    packs = Pack.objects.filter(ingredient=ingredient_id, starts__lte=day, **whose).order_by("-starts", "-pk")
    return next((pack.price for pack in packs if pack.measure == parse_measure(size)), None)
