"""An order's plan: when it leaves, when its work is done at the latest, and the earliest that something is made for it.

What is measured before that was made for another order, or on another day than was entered.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from fractions import Fraction
from typing import Final

from catalog.cooling.planned import BEFORE
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.kitchen.selectors import kitchen_zone, local_day
from costing.contract import Book
from costing.timing.chains import working_hours
from costing.timing.schedule import Answer, TimedStep, Timing
from costing.timing.spans import WorkingHours, moment_of
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.planning.planned_batches import planned_batches
from orders.planning.problem import leaving
from orders.quotes.cooling.planned import Wanted, plan_of_table
from orders.records.models import AuditEntry
from orders.records.states import OrderEvent

#: How long before it is used something is made at the earliest, where no step says how long it is held; own choice.
#: Food Code 2022, 3-501.17: ready-to-eat food at 41 °F is used within 7 days.
UNSTATED: Final = timedelta(days=7)


def leaves_at(order: Order) -> datetime:
    """Return when an order leaves, as the plan has it: travel and set-up before its window begins."""
    return leaving(order.window_start, order.event)[0]


def earliest_making(orders: Iterable[Order], work: str, book: Book | None, *, at: datetime) -> datetime:
    """Return the earliest that a work, `product:CODE` or `recipe:CODE`, is begun for any of these orders.

    That is its planned start less how long it and what it goes into may be held; or the day on which production of an
    order was started, where that is sooner: whoever starts an order early has made something for it.
    """
    return min(moment for order in orders for moment in _beginnings(order, work, book, at))


def planned_making(orders: Iterable[Order], work: str, book: Book | None, *, at: datetime) -> datetime | None:
    """Return when a work is begun first by the plans of some orders; None where no plan says it."""
    planned = (_planned(order, work, book, at) for order in orders)
    return min((found[0] for found in planned if found is not None and found[0] is not None), default=None)


def production_started(orders: Iterable[Order]) -> datetime | None:
    """Return when production of one of some orders was started first; None where it was of none. One query."""
    keys = [order.pk for order in orders]
    found = AuditEntry.objects.filter(document="order", document_pk__in=keys, event=OrderEvent.START)
    return min(found.values_list("at", flat=True), default=None)


def _beginnings(order: Order, work: str, book: Book | None, at: datetime) -> Iterator[datetime]:
    start, held = _by_plan(order, work, book, at)
    yield start - held
    found = AuditEntry.objects.filter(document="order", document_pk=order.pk, event=OrderEvent.START)
    for started in found.values_list("at", flat=True):
        # The button may be pressed after the work has begun: the whole day counts.
        yield datetime.combine(local_day(started), time(), kitchen_zone())


def _by_plan(order: Order, work: str, book: Book | None, at: datetime) -> tuple[datetime, timedelta]:
    """Return when a work is begun by an order's plan, and how long before it may be; without a plan the longest."""
    found = _planned(order, work, book, at)
    if found is None:
        return leaves_at(order), BEFORE
    start, held = found
    return start or leaves_at(order), held


def _planned(order: Order, work: str, book: Book | None, at: datetime) -> tuple[datetime | None, timedelta] | None:
    """Return when a work is begun for an order, and how long before that it may be; None where nothing says so.

    It is begun when the kitchen's plan says so; of what has no place there, as late as the window allows.
    """
    hours = working_hours(book) if book else None
    if book is None or hours is None:
        return None
    cold = cold_times({line.product.code for line in order.lines.all()}, book)
    planned = plan_of(order, book, hours, at, cold)
    if planned is None or work not in planned[0].works:
        return None
    timing, answer = planned
    placed = [one.begins for one in planned_batches([order], book).of(order) if one.work == work]
    if placed:
        return min(placed), _held(timing, work)
    starts = [one.start for one in answer.schedule if one.work == work] if answer.ok else []
    return moment_of(min(starts), hours.zone) if starts else None, _held(timing, work)


@dataclass(frozen=True, slots=True)
class Beginning:
    """When a work is begun by an order's plan, and from when on it may be, so that it is no older than it keeps."""

    planned: datetime
    first: datetime


def beginnings(order: Order, book: Book | None, *, at: datetime) -> dict[str, Beginning]:
    """Return when each work of an order's plan is begun, `product:CODE` and `recipe:CODE`; none without a plan.

    It is begun when the kitchen's plan says so; of what has no place there, as late as the window allows.
    """
    hours = working_hours(book) if book else None
    if book is None or hours is None:
        return {}
    planned = plan_of(order, book, hours, at, cold_times({line.product.code for line in order.lines.all()}, book))
    if planned is None or not planned[1].ok:
        return {}
    timing, answer = planned
    latest: dict[str, datetime] = {}
    for one in answer.schedule:
        start = moment_of(one.start, hours.zone)
        latest[one.work] = min(start, latest.get(one.work, start))
    placed: dict[str, datetime] = {}
    for each in planned_batches([order], book).of(order):
        placed[each.work] = min(each.begins, placed.get(each.work, each.begins))
    return {
        work: Beginning(placed.get(work, start), min(placed.get(work, start), start - _held(timing, work)))
        for work, start in latest.items()
    }


def _held(timing: Timing, work: str) -> timedelta:
    """Return how long a work may lie on its way to hand-over, as stated; at least ``UNSTATED`` where a hold is not."""
    stated, open_end = _holds(timing, work)
    found = timedelta(minutes=stated)
    return max(found, UNSTATED) if open_end else found


def _holds(timing: Timing, work: str) -> tuple[int, bool]:
    """Return the minutes that a work and what it goes into may lie, and whether one of them does not say."""
    steps = timing.works[work].steps
    later = [_holds(timing, code) for code, user in timing.works.items() if work in user.needs]
    longest = max((minutes for minutes, _ in later), default=0)
    own = sum(_hold(step) for step in steps)
    unsaid = not steps or steps[-1].hold_max is None or any(one for _, one in later)
    return own + longest, unsaid


def _hold(step: TimedStep) -> int:
    return 0 if step.hold_max is None else step.hold_max


def plan_of(
    order: Order,
    book: Book,
    hours: WorkingHours,
    at: datetime,
    cold: Mapping[str, ProductCold],
    larger: Mapping[str, Fraction] | None = None,
) -> tuple[Timing, Answer] | None:
    """Return an order's timing, and its schedule as late as possible; None when the order cannot be computed.

    It is the schedule for ``leaves_at()`` where it can be ready by then. ``larger`` are the batches that are made in
    more than the order's own amount, because others share them [g], by code of the recipe.
    """
    inquiry = order.event
    wanted = Wanted(
        units={line.product.code: line.units for line in order.lines.all()},
        customer_kind=order.customer.kind,
        start=order.window_start,
        end=order.window_end,
        travel_minutes=inquiry.travel_minutes,
        pickup=inquiry.hand_over == Inquiry.HandOver.PICKUP,
    )
    return plan_of_table(wanted, book, hours, at, cold, larger)
