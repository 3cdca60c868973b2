"""On which day the kitchen makes the batches of its orders, as each order's plan has it, and which it makes at once."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from types import MappingProxyType
from typing import Final
from zoneinfo import ZoneInfo

from catalog.book.known import KnownByBook
from catalog.cooling.amounts import Units
from catalog.cooling.batch_reports import BatchCold
from catalog.cooling.selectors import cold_times
from catalog.kitchen.selectors import local_day
from costing.contract import Book
from costing.timing.chains import working_hours
from orders.cooling_log.plans import plan_of
from orders.orders.models import Order
from orders.planning.planned_batches import Planned, PlannedBatch
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.planned import step_ends, step_place

#: Most orders of which the plan is computed: each is computed by itself, in about a millisecond; own choice.
MOST: Final = 60
#: Code of a recipe, or `product:CODE`, and index of one of its steps -> when it ends.
Ends = Mapping[tuple[str, int], datetime]
#: Key of an order -> the ends of the steps for it.
EndsByOrder = Mapping[int, Ends]
#: Key of an order -> code of a recipe that is made at once for it and others -> how much of it [g].
Larger = Mapping[int, Mapping[str, Fraction]]
NOTHING_LARGER: Final[Larger] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Making:
    """A day on which a batch is made, and the orders it is made for at once.

    ``planned`` where the plan of one of them says so; else it is the day of hand-over, and nobody knows more.
    ``batches`` are those that the kitchen's plan has of it; empty of what has no place there yet.
    """

    day: date
    planned: bool
    orders: tuple[Order, ...]
    batches: tuple[PlannedBatch, ...] = ()


def units_of(order: Order) -> Units:
    """Return the units of an order by product code; its lines come with their products."""
    return {line.product.code: line.units for line in order.lines.all()}


def zone_of(book: Book) -> ZoneInfo:
    """Return the kitchen's time zone, without a query."""
    return ZoneInfo(book.kitchen.described.time_zone)


def makings(orders: Sequence[Order], book: Book, ends: EndsByOrder, plan: Planned) -> dict[str, list[Making]]:
    """Return for each recipe that is made hot the days on which it is made, the earliest first.

    In the kitchen's plan those orders are made at once that take of one batch, and no others. Of what has no place
    there, what several orders need of one day is made at once. An order without a plan goes with the earliest other of
    its hand-over day, or with what is made on that day: that may count too much as one batch, which is the safe side.
    """
    zone = zone_of(book)
    needing: dict[str, list[tuple[Order, datetime | None]]] = defaultdict(list)
    placed: dict[str, list[Making]] = defaultdict(list)
    by_quote = {order.quote_id: order for order in orders}
    for order in orders:
        there = {one.work for one in plan.of(order)}
        for cold in hot_batches(units_of(order), book):
            code = cold.recipe.code
            if f"recipe:{code}" not in there:
                needing[code].append((order, moment_off_heat(cold, ends.get(order.pk, {}))))
            elif code not in placed:
                placed[code] = [_placed(cold, one, by_quote, zone) for one in _at_once(plan, code)]
    made = {code: _makings(needing.get(code, ()), zone) for code in [*needing, *placed]}
    return {code: sorted([*each, *placed.get(code, ())], key=lambda one: one.day) for code, each in made.items()}


def _at_once(plan: Planned, code: str) -> list[list[PlannedBatch]]:
    """Return the planned batches of a recipe, those together of which one order takes."""
    groups: list[list[PlannedBatch]] = []
    for batch in (one for one in plan.batches if one.work == f"recipe:{code}"):
        mine = [each for each in groups if any(not one.quotes.isdisjoint(batch.quotes) for one in each)]
        groups = [each for each in groups if each not in mine]
        groups.append([*(one for each in mine for one in each), batch])
    return groups


def _placed(cold: BatchCold, batches: list[PlannedBatch], orders: Mapping[int, Order], zone: ZoneInfo) -> Making:
    ends = (
        moment_off_heat(cold, {(cold.recipe.code, at): end for at, (_, end) in one.steps.items()}) for one in batches
    )
    quotes = {quote for one in batches for quote in one.quotes}
    moment = min((end for end in ends if end is not None), default=batches[0].begins)
    made_for = tuple(order for quote, order in orders.items() if quote in quotes)
    return Making(local_day(moment, zone), True, made_for, tuple(batches))


def _makings(needing: Sequence[tuple[Order, datetime | None]], zone: ZoneInfo) -> list[Making]:
    planned: dict[date, date] = {}
    for order, end in needing:
        if end is not None:
            day, made = local_day(order.window_start, zone), local_day(end, zone)
            planned[day] = min(made, planned.get(day, made))
    by_day: dict[date, list[Order]] = defaultdict(list)
    known = {local_day(end, zone) for _, end in needing if end is not None}
    for order, end in needing:
        day = local_day(order.window_start, zone)
        by_day[planned.get(day, day) if end is None else local_day(end, zone)].append(order)
    return [Making(day, day in known, tuple(each)) for day, each in sorted(by_day.items())]


def moment_off_heat(cold: BatchCold, ends: Ends) -> datetime | None:
    """Return when a batch leaves the heat first; where nobody said after which step, when its last step ends."""
    if cold.times:
        return min((end for each in cold.times if (end := ends.get(step_place(each, cold))) is not None), default=None)
    return ends.get((cold.recipe.code, len(cold.recipe.steps) - 1))


#: The ends of the steps for an order, by what its plan depends on.
_KNOWN: KnownByBook[tuple[object, ...], dict[tuple[str, int], datetime]] = KnownByBook(most=1_000)


def planned_ends(
    orders: Sequence[Order], book: Book, plan: Planned, *, at: datetime, larger: Larger = NOTHING_LARGER
) -> EndsByOrder:
    """Return when each step ends first, as the kitchen's plan has it, for the first ``MOST`` orders.

    Of what has no place there it is at the latest that keeps the window.

    ``larger`` are batches that are made in more than an order's own amount. One query when there is something new to
    compute; the orders come with lines, products, customer and inquiry.
    """
    hours = working_hours(book)
    if hours is None:
        return {}
    known, ends = _KNOWN.of(book), dict[int, Ends]()
    today = local_day(at, zone_of(book))
    looked_at = [(order, known.get(_key(order, today, larger))) for order in orders[:MOST]]
    new = [order for order, timed in looked_at if timed is None]
    cold = cold_times({line.product.code for order in new for line in order.lines.all()}, book) if new else {}
    for order, timed in looked_at:
        if timed is None:
            planned = plan_of(order, book, hours, at, cold, larger.get(order.pk))
            timed = known[_key(order, today, larger)] = {} if planned is None else dict(step_ends(*planned, hours))
        ends[order.pk] = timed | ends_in(plan, order)
    return ends


def ends_in(plan: Planned, order: Order) -> dict[tuple[str, int], datetime]:
    """Return when each step for an order ends first in the kitchen's plan."""
    return {(work.removeprefix("recipe:"), at): ends[0] for (work, at), ends in plan.ends(order).items()}


def _key(order: Order, today: date, larger: Larger) -> tuple[object, ...]:
    """Return all that ``plan_of()`` reads of an order, and the day it prices for."""
    inquiry = order.event
    lines = tuple((line.product.code, line.units) for line in order.lines.all())
    return (
        today,
        order.customer.kind,
        order.window_start,
        order.window_end,
        inquiry.travel_minutes,
        inquiry.hand_over,
        lines,
        tuple(sorted(larger.get(order.pk, {}).items())),
    )
