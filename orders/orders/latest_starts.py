"""The latest start of work on an order, ignoring other orders but where they make one of its hot batches larger."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from fractions import Fraction
from typing import Final

from catalog.book.selectors import book_current
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.records.errors import CannotPrice
from costing.contract import Book
from costing.timing.chains import working_hours
from costing.timing.spans import WorkingHours, moment_of
from orders.cooling_log.plans import plan_of
from orders.cooling_log.sharing import larger_of
from orders.orders.models import Order

#: Most orders computed: each is computed by itself.
MOST: Final = 8


def latest_starts(orders: Sequence[Order], *, at: datetime) -> dict[int, datetime]:
    """Return the latest start of the first few orders by primary key; orders for which it is unknown are left out.

    The orders come with lines, products, quote and inquiry prefetched.
    """
    if not orders:
        return {}
    try:
        book = book_current()
    except CannotPrice:
        return {}
    hours = working_hours(book)
    if hours is None:
        return {}
    looked_at = orders[:MOST]
    cold = cold_times({line.product.code for order in looked_at for line in order.lines.all()}, book)
    larger = larger_of(looked_at, book, at=at)
    found = {order.pk: _latest(order, book, hours, at, cold, larger.get(order.pk)) for order in looked_at}
    return {pk: moment_of(minute, hours.zone) for pk, minute in found.items() if minute is not None}


def _latest(
    order: Order,
    book: Book,
    hours: WorkingHours,
    at: datetime,
    cold: Mapping[str, ProductCold],
    larger: Mapping[str, Fraction] | None,
) -> int | None:
    planned = plan_of(order, book, hours, at, cold, larger)
    return planned[1].latest_start if planned and planned[1].ok else None
