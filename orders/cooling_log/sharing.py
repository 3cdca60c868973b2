"""Hot batches that several orders make at once, at the size they have so, and when they leave the heat then.

A later order that is made on the same day makes a batch larger, and a larger batch takes longer to get cold: the hours
of each order that takes from it follow the batch as it is by now, not the order's own part of it.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Final
from zoneinfo import ZoneInfo

from catalog.cooling.amounts import Units, batch_amounts
from catalog.kitchen.selectors import local_day
from costing.contract import Book
from orders.cooling_log.making_days import (
    NOTHING_LARGER,
    Ends,
    EndsByOrder,
    Larger,
    Making,
    makings,
    moment_off_heat,
    planned_ends,
    units_of,
    zone_of,
)
from orders.orders.models import Order
from orders.planning.planned_batches import NOTHING_PLANNED, Planned, planned_batches
from orders.quotes.cooling.amounts import hot_batches
from orders.records.states import ORDERS_AHEAD, OrderStatus

#: How many days apart two orders may be handed over whose batches can be made on one day; own choice.
APART: Final = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class AsMade:
    """How some orders are made beside what is promised.

    ``orders`` are these and the others that may share a batch with them. ``ends`` are the ends of each order's steps as
    planned, with each batch at the size it is made in; ``made`` the days on which a recipe is made hot, by its code;
    ``larger`` how much is made at once of what an order shares with others [g]. ``late`` are by order the codes of what
    is not cold before it leaves as it is shared: no start is early enough, or the latest one has passed by now.
    ``plan`` is what the kitchen's plan has of them.
    """

    orders: tuple[Order, ...] = ()
    ends: EndsByOrder = field(default_factory=dict)
    made: Mapping[str, Sequence[Making]] = field(default_factory=dict)
    larger: Larger = field(default_factory=dict)
    late: Mapping[int, frozenset[str]] = field(default_factory=dict)
    plan: Planned = NOTHING_PLANNED

    def of(self, order: int) -> Ends:
        """Return the ends of the steps for an order, by its key."""
        return self.ends.get(order, {})


def as_made(orders: Sequence[Order], book: Book, *, at: datetime, others: bool = True) -> AsMade:
    """Return how some orders are made, with the ``others`` that are made on the same days.

    They come with lines, products, customer and inquiry. Three queries where something is made hot.
    """
    every = (*orders, *(others_of(orders, book) if others else ()))
    plan = planned_batches(every, book)
    own = planned_ends(every, book, plan, at=at)
    made = makings(every, book, own, plan)
    larger = _larger(made, book)
    if not larger:
        return AsMade(every, own, made, larger, plan=plan)
    longer = planned_ends(every, book, plan, at=at, larger=larger)
    # Where nothing is ready in time at that size, no hour of the smaller one is right, nor of what it goes into.
    ends = {pk: longer.get(pk, {}) for pk in own}
    zone = zone_of(book)
    dated = {code: [_dated(one, code, ends, book, zone) for one in each] for code, each in made.items()}
    late = {order.pk: _late(order, own, ends, larger, book, at) for order in every if order.pk in larger}
    return AsMade(every, ends, dated, larger, {pk: codes for pk, codes in late.items() if codes}, plan)


def late_names(order: Order, book: Book, *, at: datetime) -> dict[str, tuple[str, ...]]:
    """Return what an order shares that is not cold before it leaves so, with the numbers of the orders it is for."""
    beside = as_made([order], book, at=at)
    late = beside.late.get(order.pk, frozenset())
    return {
        book.recipe(code).name: tuple(each.number for each in making.orders)
        for code in sorted(late)
        for making in beside.made.get(code, ())
        if any(each.pk == order.pk for each in making.orders)
    }


def _late(
    order: Order, own: EndsByOrder, ends: EndsByOrder, larger: Larger, book: Book, at: datetime
) -> frozenset[str]:
    """Return the codes of what is late only because an order shares it: alone it would be ready in time."""
    return frozenset(
        cold.recipe.code
        for cold in hot_batches(units_of(order), book)
        if cold.recipe.code in larger[order.pk]
        and (alone := moment_off_heat(cold, own.get(order.pk, {}))) is not None
        and _is_late(order, alone, moment_off_heat(cold, ends.get(order.pk, {})), at)
    )


def _is_late(order: Order, alone: datetime, shared: datetime | None, at: datetime) -> bool:
    """Return whether a batch has no time to leave the heat, or one that passed before production of its order began."""
    if shared is None:
        return True
    return order.status == OrderStatus.CONFIRMED and shared < at <= alone


def larger_of(orders: Sequence[Order], book: Book, *, at: datetime) -> Larger:
    """Return by order and recipe how much is made at once of what it shares with others [g]; as ``as_made()``."""
    every = (*orders, *others_of(orders, book))
    if len(every) < 2:
        return NOTHING_LARGER
    plan = planned_batches(every, book)
    return _larger(makings(every, book, planned_ends(every, book, plan, at=at), plan), book)


def _larger(made: Mapping[str, Sequence[Making]], book: Book) -> Larger:
    found: dict[int, dict[str, Fraction]] = defaultdict(dict)
    for code, each in made.items():
        for making in each:
            if len(making.orders) > 1:
                grams = grams_at_once(making, code, book)
                for order in making.orders:
                    found[order.pk][code] = grams
    return found


def grams_at_once(making: Making, code: str, book: Book) -> Fraction:
    """Return how much of a recipe is made at once [g]: the largest batch that the plan has of it, else all."""
    if making.batches:
        return max(one.grams for one in making.batches)
    return Fraction(dict(batch_amounts(together_units(making.orders), book))[code])


def _dated(making: Making, code: str, ends: EndsByOrder, book: Book, zone: ZoneInfo) -> Making:
    """Return a making on the day on which it leaves the heat at the size it has by now."""
    if len(making.orders) < 2 or making.batches:
        return making
    moments = [
        moment
        for order in making.orders
        for cold in hot_batches(units_of(order), book)
        if cold.recipe.code == code and (moment := moment_off_heat(cold, ends.get(order.pk, {}))) is not None
    ]
    return replace(making, day=local_day(min(moments), zone)) if moments else making


def others_of(orders: Sequence[Order], book: Book) -> list[Order]:
    """Return the other orders ahead that may share a hot batch with some: those handed over within ``APART`` of them.

    No query where nothing of them is made hot.
    """
    ahead = [order for order in orders if order.status in ORDERS_AHEAD]
    codes = {code for order in ahead for code in hot_codes(order, book)}
    if not codes:
        return []
    keys = {order.pk for order in orders}
    return [
        order
        for order in _near(ahead, zone_of(book))
        if order.pk not in keys and not codes.isdisjoint(hot_codes(order, book))
    ]


def hot_codes(order: Order, book: Book) -> set[str]:
    """Return the codes of the recipes that are made hot for an order."""
    return {one.recipe.code for one in hot_batches(units_of(order), book)}


def _near(orders: Sequence[Order], zone: ZoneInfo) -> Iterator[Order]:
    """Return the orders that are handed over near the days of these, not those delivered or canceled."""
    days = [local_day(order.window_start, zone) for order in orders]
    start = datetime.combine(min(days) - APART, datetime.min.time(), zone)
    end = datetime.combine(max(days) + APART + timedelta(days=1), datetime.min.time(), zone)
    rows = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=start, window_start__lt=end)
    rows = rows.exclude(pk__in=[order.pk for order in orders]).order_by("window_start", "pk")
    rows = rows.select_related("customer", "quote__inquiry").defer("quote__brief", "quote__estimate")
    yield from rows.prefetch_related("lines__product")


def together_units(orders: Sequence[Order]) -> Units:
    """Return the units of several orders by product code."""
    units: dict[str, int] = defaultdict(int)
    for order in orders:
        for code, count in units_of(order).items():
            units[code] += count
    return units
