"""When work on an order begins: by the kitchen's plan; else the latest start, as if there were no other orders.

Others count for the latest start only where they make one of its hot batches larger.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Final

from catalog.book.selectors import book_current
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.records.errors import CannotPrice
from costing.contract import Book
from costing.timing.chains import working_hours
from costing.timing.spans import WorkingHours, moment_of
from orders.cooling_log.making_days import NOTHING_LARGER
from orders.cooling_log.plans import plan_of
from orders.cooling_log.sharing import larger_of
from orders.orders.models import Order
from orders.planning.planned_batches import planned_batches

#: Most orders computed: each is computed by itself.
MOST: Final = 8


@dataclass(frozen=True, slots=True)
class Start:
    """When work on an order begins: ``planned`` by the kitchen's plan; else the latest start.

    ``unplanned`` where there is a plan, and something of the order has no place in it yet.
    """

    moment: datetime
    planned: bool = False
    unplanned: bool = False


def latest_starts(orders: Sequence[Order], *, at: datetime) -> dict[int, Start]:
    """Return when work begins on the first few orders by primary key; orders for which it is unknown are left out.

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
    plan = planned_batches(looked_at, book)
    placed = [order for order in looked_at if plan.of(order) and not plan.waits(order)]
    found = {order.pk: Start(plan.of(order)[0].begins, planned=True) for order in placed}
    rest = [order for order in looked_at if order not in placed]
    cold = cold_times({line.product.code for order in rest for line in order.lines.all()}, book)
    larger = larger_of(rest, book, at=at) if rest else NOTHING_LARGER
    for order in rest:
        minute = _latest(order, book, hours, at, cold, larger.get(order.pk))
        if minute is not None:
            begins = (moment_of(minute, hours.zone), *(one.begins for one in plan.of(order)))
            found[order.pk] = Start(min(begins), unplanned=plan.waits(order))
    return found


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
