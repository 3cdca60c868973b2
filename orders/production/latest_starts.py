"""The latest start of work on an order, ignoring other orders."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from catalog.book.selectors import book_current
from catalog.cooling.selectors import BEFORE, ProductCold, cold_times, timing_of
from catalog.records.errors import CannotPrice
from costing.contract import Book, Brief, BriefLine, InputErrors
from costing.estimating.engine import estimate
from costing.timing.chains import working_hours
from costing.timing.schedule import Answer, Timing
from costing.timing.spans import WorkingHours, minute_of, moment_of
from costing.timing.windows import check_window
from orders.inquiries.models import Inquiry
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
    found = {order.pk: _latest(order, book, hours, at, cold) for order in looked_at}
    return {pk: moment_of(minute, hours.zone) for pk, minute in found.items() if minute is not None}


def _latest(order: Order, book: Book, hours: WorkingHours, at: datetime, cold: Mapping[str, ProductCold]) -> int | None:
    planned = plan_of(order, book, hours, at, cold)
    return planned[1].latest_start if planned and planned[1].ok else None


def plan_of(
    order: Order, book: Book, hours: WorkingHours, at: datetime, cold: Mapping[str, ProductCold]
) -> tuple[Timing, Answer] | None:
    """Return an order's timing, and its schedule as late as possible; None when the order cannot be computed."""
    lines = tuple(BriefLine(line.product.code, line.units) for line in order.lines.all())
    today, supplied = (moment.astimezone(hours.zone).date() for moment in (at, order.window_start))
    customer_kind = order.customer.kind or None
    brief = Brief(date=today, lines=lines, supply_date=supplied, customer_kind=customer_kind)
    try:
        priced = estimate(book, brief, warn=False)
    except InputErrors:
        return None
    travel = order.quote.inquiry.travel_minutes
    leaves = order.window_start - timedelta(minutes=travel)
    timing = timing_of(book, priced, hours, leaves=leaves, now=leaves - BEFORE, cold=cold)
    window = minute_of(order.window_start), minute_of(order.window_end)
    whole = order.quote.inquiry.hand_over == Inquiry.HandOver.PICKUP
    return timing, check_window(timing, *window, travel=travel, whole=whole)
