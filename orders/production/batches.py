"""The batches of recipes that are made hot for some orders: how they cool, and when each leaves the heat as planned."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from catalog.cooling.amounts import batch_amounts
from catalog.cooling.batch_reports import BatchCold, BatchTimes, batch_colds
from catalog.kitchen.selectors import local_day
from catalog.recipes.models import Recipe
from costing.contract import Recipe as Values
from costing.timing.chains import working_hours
from costing.timing.loads import LoadTimes
from costing.timing.spans import WorkingHours
from orders.cooling_log.making_days import Ends, EndsByOrder, Making, units_of
from orders.cooling_log.sharing import AsMade, as_made, grams_at_once
from orders.production.demand import Demand
from orders.quotes.cooling.load_times import batch_loads
from orders.quotes.cooling.planned import step_place

#: Key of an order -> code of a recipe -> how much of it the order takes [g].
Takes = Mapping[int, Mapping[str, Fraction]]


@dataclass(frozen=True, slots=True)
class BatchRow:
    """Batches of a recipe that are alike: of one size, of one day, and for the same moment.

    ``count`` of all ``cold.batches`` of its day; ``times`` are paired with when each leaves the heat, as planned, if
    known. ``orders`` are the keys of the orders that take from them. ``making`` is the day on which they are made,
    where the recipe is made on several, or for other orders at once too: ``shared`` are the numbers of all these
    then; ``late`` those of the orders for which it is not cold before they leave
    as it is shared. ``loads`` are, beside ``times``, when each of the batches leaves then, and
    ``hours`` those in which somebody is there to measure. ``unplanned`` says that they have no place in the kitchen's
    plan yet.
    """

    cold: BatchCold
    recipe_id: int
    count: int
    times: tuple[tuple[BatchTimes, datetime | None], ...]
    orders: frozenset[int] = frozenset()
    making: Making | None = None
    shared: tuple[str, ...] = ()
    late: tuple[str, ...] = ()
    loads: tuple[LoadTimes, ...] = ()
    hours: WorkingHours | None = None
    unplanned: bool = False

    def is_among(self, together: Iterable[tuple[int, int]]) -> bool:
        """Return whether one of these keys of recipe and order is of these batches."""
        return any(recipe == self.recipe_id and order in self.orders for recipe, order in together)


def batch_rows(found: Demand, *, at: datetime) -> list[BatchRow]:
    """List the batches that are made hot for these orders, components first, each day apart.

    What other orders take of a batch is in it: it is as large, and cools as long, as it is made. Two queries, and three
    for the other orders where something is made hot.
    """
    batches = found.workings.demand[0]
    wanted = [(found.compiled.recipes[row].code, batches[row].grams) for row in sorted(batches, reverse=True)]
    colds = batch_colds(wanted, found.book)
    if not colds:
        return []
    keys = dict(Recipe.objects.filter(code__in=[cold.recipe.code for cold in colds]).values_list("code", "pk"))
    beside = as_made(found.orders, found.book, at=at, others=found.whole)
    takes = {order.pk: dict(batch_amounts(units_of(order), found.book)) for order in beside.orders}
    return [
        _with_late(row, beside)
        for cold in colds
        for making, of_day in _days(cold, beside.made.get(cold.recipe.code, ()), found)
        for row in _rows(
            of_day, keys.get(cold.recipe.code, 0), _takes_of(making, takes, found), _ends(making, beside), making, found
        )
    ]


def _ends(making: Making | None, beside: AsMade) -> EndsByOrder:
    """Return the ends of the steps for each order: of what is one batch in the plan, that batch's for all of them."""
    if making is None or not making.batches:
        return beside.ends
    (one,) = making.batches
    ends = {(one.work.removeprefix("recipe:"), at): end for at, (_, end) in one.steps.items()}
    return {order.pk: ends for order in making.orders}


def _with_late(row: BatchRow, beside: AsMade) -> BatchRow:
    code = row.cold.recipe.code
    orders = [one for one in beside.orders if one.pk in row.orders]
    late = (one for one in orders if code in beside.late.get(one.pk, ()))
    batches = () if row.making is None else row.making.batches
    waits = not batches and any(beside.plan.waits(one) for one in orders)
    return replace(row, late=tuple(order.number for order in late), unplanned=waits)


def _days(cold: BatchCold, every: Sequence[Making], found: Demand) -> Iterator[tuple[Making | None, BatchCold]]:
    """Yield each day on which a recipe is made for these orders, with its batches at the size they have then.

    Each batch of the kitchen's plan is by itself. None where nothing of it has a place there and all of it is made on
    one day, for these orders alone.
    """
    own = {order.pk for order in found.orders}
    made = [one for making in every for one in _one_by_one(making) if not own.isdisjoint(_keys(one))]
    if len(made) < 2 and all(own.issuperset(_keys(making)) and not making.batches for making in made):
        yield None, cold
        return
    code = cold.recipe.code
    for making in made:
        (of_day,) = batch_colds([(code, grams_at_once(making, code, found.book))], found.book)
        yield making, of_day


def _one_by_one(making: Making) -> Iterator[Making]:
    """Yield each batch of the plan with its own day and orders; what has no place in it as it is."""
    for one in making.batches:
        orders = tuple(order for order in making.orders if order.quote_id in one.quotes)
        yield replace(making, day=local_day(one.begins), orders=orders, batches=(one,))
    if not making.batches:
        yield making


def _keys(making: Making) -> set[int]:
    return {order.pk for order in making.orders}


def _takes_of(making: Making | None, takes: Takes, found: Demand) -> Takes:
    orders = found.orders if making is None else making.orders
    return {order.pk: takes[order.pk] for order in orders}


def room_safe_made(found: Demand) -> list[Values]:
    """Return the recipes made for some orders that are safe at room temperature by a source that is named."""
    made = (found.compiled.recipes[at] for at in sorted(found.workings.demand[0], reverse=True))
    return [recipe for recipe in made if recipe.shelf_stable and recipe.shelf_stable_source.strip()]


def _rows(
    cold: BatchCold, key: int, takes: Takes, ends: EndsByOrder, making: Making | None, found: Demand
) -> Iterator[BatchRow]:
    """Yield the batches of a recipe, the first needed first, those for the same moment as one row.

    Of those for several orders, the ones that something of ``found`` is made from.
    """
    book, own = found.book, {order.pk for order in found.orders}
    shared = () if making is None or own.issuperset(_keys(making)) else _numbers(making)
    groups: dict[tuple[datetime | None, ...], list[frozenset[int]]] = {}
    for orders in _batches_by_order(cold, takes, ends):
        moments = tuple(_moment(each, cold, orders, ends) for each in cold.times)
        groups.setdefault(moments, []).append(orders)
    for moments, every in groups.items():
        each = [orders for orders in every if not own.isdisjoint(orders)]
        if not each:
            continue
        timed = tuple(zip(cold.times, moments, strict=True))
        loads = tuple(batch_loads(times.cycle.after, len(each), cold.batches.each_kg, book) for times in cold.times)
        orders = frozenset().union(*each) & own
        yield BatchRow(cold, key, len(each), timed, orders, making, shared, loads=loads, hours=working_hours(book))


def _numbers(making: Making) -> tuple[str, ...]:
    return tuple(order.number for order in sorted(making.orders, key=lambda order: (order.window_start, order.pk)))


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
    return min((one for each in cold.times if (one := ends.get(step_place(each, cold)))), default=None)


def _moment(each: BatchTimes, cold: BatchCold, orders: Iterable[int], ends: EndsByOrder) -> datetime | None:
    """Return when a batch leaves the heat at the latest that is early enough for each order that takes from it."""
    return min((end for pk in orders if (end := ends.get(pk, {}).get(step_place(each, cold)))), default=None)
