"""What orders ahead promise at times at which nobody works, when the kitchen's calendar changes. Nothing is refused."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from catalog.cooling.selectors import ProductCold, cold_times
from catalog.kitchen.selectors import local_day
from costing.contract import Book
from costing.timing.chains import hand_over_hours, working_hours
from costing.timing.spans import Minutes, WorkingHours, minute_of, moment_of
from orders.cooling_log.plans import leaves_at, plan_of
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.planning.planned_batches import PlannedBatch, planned_batches, steps_of
from orders.records.states import ORDERS_AHEAD

#: Most orders looked at, the next first: each is planned by itself, in some milliseconds; own choice.
MOST: Final = 60
_AROUND: Final = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class PromisedOutside:
    """An order for which something is promised outside the hours of a day: `pickup`, `delivery` or `work`."""

    pk: int
    name: str
    day: date
    what: str


def promised_outside(*, before: Book, after: Book, at: datetime) -> tuple[PromisedOutside, ...]:
    """Return what orders ahead promise within the hours of one Book and outside those of another, the earliest first.

    Of an order that is its hand-over, on any day that is closed now; and days on which work was planned that needs
    hands, by the kitchen's plan; of an order without a place there, as if there were no others.
    """
    if _calendar(before) == _calendar(after):
        return ()
    ahead = Order.objects.filter(status__in=ORDERS_AHEAD, window_end__gte=at).order_by("window_start", "pk")
    related = ahead.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    orders = list(related[:MOST])
    found = [one for order in orders for one in _hand_over(order, before, after)]
    found += _work(orders, before, after, at)
    return tuple(sorted(found, key=lambda one: (one.day, one.pk, one.what)))


def _calendar(book: Book) -> tuple[object, ...]:
    return book.hours, book.hand_over_hours, book.days, book.closed


def _hand_over(order: Order, before: Book, after: Book) -> Iterator[PromisedOutside]:
    """Yield the hand-over where its day is closed now, or its hours do not hold it any more."""
    collected = order.event.hand_over == Inquiry.HandOver.PICKUP
    begins = order.window_start if collected else leaves_at(order)
    ends = order.window_end if collected else begins
    day = local_day(order.window_start)
    closed, was = ({one.date for one in book.closed or ()} for book in (after, before))
    newly = day in closed and day not in was
    if newly or (_open(before, begins, ends, collected) and not _open(after, begins, ends, collected)):
        yield PromisedOutside(order.pk, str(order), day, order.event.hand_over)


def _open(book: Book, begins: datetime, ends: datetime, collected: bool) -> bool:
    hours = hand_over_hours(book) or (working_hours(book) if collected else None)
    return hours is None or _within(minute_of(begins), minute_of(ends), _around(hours, begins, ends))


def _around(hours: WorkingHours, first: datetime, last: datetime) -> Minutes:
    return hours.between(minute_of(first - _AROUND), minute_of(last + _AROUND))


def _within(first: int, last: int, minutes: Minutes) -> bool:
    return any(begin <= first and last <= end for begin, end in minutes.spans)


def _by_plan(batches: Iterable[PlannedBatch], book: Book) -> Iterator[tuple[int, int]]:
    """Yield when somebody is at a step by the kitchen's plan: its first and last minute."""
    for one in batches:
        for at, (begin, end) in one.steps.items():
            if not steps_of(book, one.work)[at].waits:
                yield minute_of(begin), minute_of(end)


def _alone(
    order: Order, book: Book, hours: WorkingHours, at: datetime, cold: Mapping[str, ProductCold]
) -> Iterator[tuple[int, int]]:
    """Yield the same of an order without a place in the plan, as if there were no others."""
    planned = plan_of(order, book, hours, at, cold)
    for one in planned[1].schedule if planned and planned[1].ok else ():
        if one.step.attended:
            yield one.start, one.end


def _work(orders: Sequence[Order], before: Book, after: Book, at: datetime) -> Iterator[PromisedOutside]:
    then, now = working_hours(before), working_hours(after)
    if then is None or now is None or not orders:
        return
    plan = planned_batches(orders, before)
    cold = cold_times({line.product.code for order in orders for line in order.lines.all()}, before)
    for order in orders:
        alone = () if plan.of(order) else _alone(order, before, then, at, cold)
        attended = [one for one in (*_by_plan(plan.of(order), before), *alone) if one[1] >= minute_of(at)]
        if not attended:
            continue
        first, last = min(start for start, _ in attended), max(end for _, end in attended)
        was, open_ = (_around(hours, moment_of(first, now.zone), moment_of(last, now.zone)) for hours in (then, now))
        outside = [start for start, end in attended if _within(start, end, was) and not _within(start, end, open_)]
        for day in sorted({moment_of(minute, now.zone).date() for minute in outside}):
            yield PromisedOutside(order.pk, str(order), day, "work")
