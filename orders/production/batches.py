"""The batches of recipes that are made hot for some orders: how they cool, and when each leaves the heat as planned."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from catalog.book.known import KnownByBook
from catalog.cooling.batch_reports import BatchCold, BatchTimes, batch_colds
from catalog.cooling.selectors import cold_times
from catalog.recipes.models import Recipe
from costing.contract import Book
from costing.timing.chains import working_hours
from costing.timing.schedule import Answer, Timing
from costing.timing.spans import WorkingHours, moment_of
from orders.orders.models import Order
from orders.production.demand import Demand
from orders.production.latest_starts import MOST, plan_of

#: Code of a recipe and index of one of its steps -> when it ends.
Ends = Mapping[tuple[str, int], datetime]


@dataclass(frozen=True, slots=True)
class BatchRow:
    """How the batches of a recipe cool; ``times`` are paired with when each leaves the heat, as planned, if known."""

    cold: BatchCold
    recipe_id: int
    times: tuple[tuple[BatchTimes, datetime | None], ...]


def batch_rows(found: Demand, *, at: datetime) -> list[BatchRow]:
    """List the batches that are made hot for these orders, components first; two queries."""
    batches = found.workings.demand[0]
    wanted = [(found.compiled.recipes[row].code, batches[row].grams) for row in sorted(batches, reverse=True)]
    colds = batch_colds(wanted, found.book)
    if not colds:
        return []
    keys = dict(Recipe.objects.filter(code__in=[cold.recipe.code for cold in colds]).values_list("code", "pk"))
    ends = planned_ends(found.orders, found.book, at=at) if any(cold.times for cold in colds) else {}
    return [BatchRow(cold, keys.get(cold.recipe.code, 0), tuple(_timed(cold, ends))) for cold in colds]


def _timed(cold: BatchCold, ends: Ends) -> Iterator[tuple[BatchTimes, datetime | None]]:
    for each in cold.times:
        place = next(at for at, step in enumerate(cold.recipe.steps) if step is each.cycle.after)
        yield each, ends.get((cold.recipe.code, place))


#: The ends of the recipes' steps for an order, by what its plan depends on.
_KNOWN: KnownByBook[tuple[object, ...], dict[tuple[str, int], datetime]] = KnownByBook(most=1_000)


def planned_ends(orders: Sequence[Order], book: Book, *, at: datetime) -> Ends:
    """Return when each step of the recipes ends at the latest that keeps the first few orders' windows.

    A step that several orders need has the earliest of their times. One query when there is something new to compute.
    """
    hours = working_hours(book)
    if hours is None:
        return {}
    known, ends = _KNOWN.of(book), dict[tuple[str, int], datetime]()
    looked_at = [(order, known.get(_key(order))) for order in orders[:MOST]]
    new = [order for order, timed in looked_at if timed is None]
    cold = cold_times({line.product.code for order in new for line in order.lines.all()}, book) if new else {}
    for order, timed in looked_at:
        if timed is None:
            planned = plan_of(order, book, hours, at, cold)
            timed = known[_key(order)] = {} if planned is None else dict(_ends(*planned, hours))
        for step, moment in timed.items():
            ends[step] = min(moment, ends.get(step, moment))
    return ends


def _key(order: Order) -> tuple[object, ...]:
    inquiry = order.quote.inquiry
    lines = tuple((line.product.code, line.units) for line in order.lines.all())
    return order.window_start, order.window_end, inquiry.travel_minutes, inquiry.hand_over, lines


def _ends(timing: Timing, answer: Answer, hours: WorkingHours) -> Iterable[tuple[tuple[str, int], datetime]]:
    """Yield the earliest end of each step of a recipe; nothing where the window cannot be met."""
    placed = answer.schedule if answer.ok else ()
    latest: dict[tuple[str, int], int] = {}
    for one in placed:
        kind, _, code = one.work.partition(":")
        if kind == "recipe":
            at = next(at for at, step in enumerate(timing.works[one.work].steps) if step is one.step)
            latest[code, at] = min(one.end, latest.get((code, at), one.end))
    return ((step, moment_of(minute, hours.zone)) for step, minute in latest.items())
