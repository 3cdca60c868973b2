"""The batches of recipes that are made hot for some orders: how they cool, and when each leaves the heat as planned."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from catalog.book.known import KnownByBook
from catalog.cooling.batch_reports import BatchCold, BatchTimes, batch_colds
from catalog.cooling.selectors import cold_times
from catalog.recipes.models import Recipe
from costing.contract import Book
from costing.timing.chains import working_hours
from costing.timing.schedule import Answer, Timing
from costing.timing.spans import WorkingHours, moment_of
from orders.cooling_log.plans import plan_of
from orders.cooling_log.together import units_of
from orders.orders.latest_starts import MOST
from orders.orders.models import Order
from orders.production.demand import Demand
from orders.quotes.cooling.selectors import batch_amounts

#: Code of a recipe and index of one of its steps -> when it ends.
Ends = Mapping[tuple[str, int], datetime]
#: Key of an order -> the ends of the steps for it.
EndsByOrder = Mapping[int, Ends]
#: Key of an order -> code of a recipe -> how much of it the order takes [g].
Takes = Mapping[int, Mapping[str, Fraction]]


@dataclass(frozen=True, slots=True)
class BatchRow:
    """Batches of a recipe that are alike: of one size, and for the same moment.

    ``count`` of all ``cold.batches``; ``times`` are paired with when each leaves the heat, as planned, if known.
    ``orders`` are the keys of the orders that take from them.
    """

    cold: BatchCold
    recipe_id: int
    count: int
    times: tuple[tuple[BatchTimes, datetime | None], ...]
    orders: frozenset[int] = frozenset()


def batch_rows(found: Demand, *, at: datetime) -> list[BatchRow]:
    """List the batches that are made hot for these orders, components first; two queries."""
    batches = found.workings.demand[0]
    wanted = [(found.compiled.recipes[row].code, batches[row].grams) for row in sorted(batches, reverse=True)]
    colds = batch_colds(wanted, found.book)
    if not colds:
        return []
    keys = dict(Recipe.objects.filter(code__in=[cold.recipe.code for cold in colds]).values_list("code", "pk"))
    ends = planned_ends(found.orders, found.book, at=at) if any(cold.times for cold in colds) else {}
    takes = {order.pk: dict(batch_amounts(units_of(order), found.book)) for order in found.orders}
    return [row for cold in colds for row in _rows(cold, keys.get(cold.recipe.code, 0), takes, ends)]


def _rows(cold: BatchCold, key: int, takes: Takes, ends: EndsByOrder) -> Iterator[BatchRow]:
    """Yield the batches of a recipe, the first needed first, those for the same moment as one row."""
    groups: dict[tuple[datetime | None, ...], list[frozenset[int]]] = {}
    for orders in _batches_by_order(cold, takes, ends):
        moments = tuple(_moment(each, cold, orders, ends) for each in cold.times)
        groups.setdefault(moments, []).append(orders)
    for moments, each in groups.items():
        timed = tuple(zip(cold.times, moments, strict=True))
        yield BatchRow(cold, key, len(each), timed, frozenset().union(*each))


def _batches_by_order(cold: BatchCold, takes: Takes, ends: EndsByOrder) -> Iterator[frozenset[int]]:
    """Yield for each batch the orders that take from it: they are served one after the other, by when they need it."""
    code, each = cold.recipe.code, cold.batches.grams / cold.batches.count
    needing = [(_first_end(cold, ends.get(pk, {})), pk, grams[code]) for pk, grams in takes.items() if code in grams]
    at_the_end = max((end for end, _, _ in needing if end is not None), default=None)
    needing.sort(key=lambda one: (one[0] is None, one[0] or at_the_end, one[1]))
    # What the orders take one by one may differ from what they take together by a spare or two.
    share = cold.batches.grams / (sum((grams for _, _, grams in needing), Fraction(0)) or Fraction(1))
    begins, spans = Fraction(0), list[tuple[Fraction, Fraction, int]]()
    for _, pk, grams in needing:
        spans.append((begins, begins + grams * share, pk))
        begins += grams * share
    for number in range(cold.batches.count):
        first, last = each * number, each * (number + 1)
        yield frozenset(pk for begins, ends_at, pk in spans if begins < last and ends_at > first)


def _first_end(cold: BatchCold, ends: Ends) -> datetime | None:
    return min((one for each in cold.times if (one := ends.get(_place(each, cold)))), default=None)


def _moment(each: BatchTimes, cold: BatchCold, orders: Iterable[int], ends: EndsByOrder) -> datetime | None:
    """Return when a batch leaves the heat at the latest that is early enough for each order that takes from it."""
    return min((end for pk in orders if (end := ends.get(pk, {}).get(_place(each, cold)))), default=None)


def _place(each: BatchTimes, cold: BatchCold) -> tuple[str, int]:
    return cold.recipe.code, next(at for at, step in enumerate(cold.recipe.steps) if step is each.cycle.after)


#: The ends of the recipes' steps for an order, by what its plan depends on.
_KNOWN: KnownByBook[tuple[object, ...], dict[tuple[str, int], datetime]] = KnownByBook(most=1_000)


def planned_ends(orders: Sequence[Order], book: Book, *, at: datetime) -> EndsByOrder:
    """Return when each step of the recipes ends at the latest that keeps the window, for the first few orders.

    One query when there is something new to compute.
    """
    hours = working_hours(book)
    if hours is None:
        return {}
    known, ends = _KNOWN.of(book), dict[int, Ends]()
    looked_at = [(order, known.get(_key(order))) for order in orders[:MOST]]
    new = [order for order, timed in looked_at if timed is None]
    cold = cold_times({line.product.code for order in new for line in order.lines.all()}, book) if new else {}
    for order, timed in looked_at:
        if timed is None:
            planned = plan_of(order, book, hours, at, cold)
            timed = known[_key(order)] = {} if planned is None else dict(_ends(*planned, hours))
        ends[order.pk] = timed
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
