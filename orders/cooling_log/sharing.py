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
from orders.quotes.cooling.amounts import hot_batches
from orders.records.states import ORDERS_AHEAD

#: How many days apart two orders may be handed over whose batches can be made on one day; own choice.
APART: Final = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class AsMade:
    """How some orders are made beside what is promised.

    ``orders`` are these and the others that may share a batch with them. ``ends`` are the ends of each order's steps as
    planned, with each batch at the size it is made in; ``made`` the days on which a recipe is made hot, by its code;
    ``larger`` how much is made at once of what an order shares with others [g].
    """

    orders: tuple[Order, ...] = ()
    ends: EndsByOrder = field(default_factory=dict)
    made: Mapping[str, Sequence[Making]] = field(default_factory=dict)
    larger: Larger = field(default_factory=dict)

    def of(self, order: int) -> Ends:
        """Return the ends of the steps for an order, by its key."""
        return self.ends.get(order, {})


def as_made(orders: Sequence[Order], book: Book, *, at: datetime, others: bool = True) -> AsMade:
    """Return how some orders are made, with the ``others`` that are made on the same days.

    They come with lines, products, customer and inquiry. Three queries where something is made hot.
    """
    every = (*orders, *(others_of(orders, book) if others else ()))
    own = planned_ends(every, book, at=at)
    made = makings(every, book, own)
    larger = _larger(made, book)
    if not larger:
        return AsMade(every, own, made, larger)
    longer = planned_ends(every, book, at=at, larger=larger)
    ends = {pk: longer.get(pk) or _unplanned(each, larger.get(pk, {})) for pk, each in own.items()}
    zone = zone_of(book)
    dated = {code: [_dated(one, code, ends, book, zone) for one in each] for code, each in made.items()}
    return AsMade(every, ends, dated, larger)


def larger_of(orders: Sequence[Order], book: Book, *, at: datetime) -> Larger:
    """Return by order and recipe how much is made at once of what it shares with others [g]; as ``as_made()``."""
    every = (*orders, *others_of(orders, book))
    if len(every) < 2:
        return NOTHING_LARGER
    return _larger(makings(every, book, planned_ends(every, book, at=at)), book)


def _larger(made: Mapping[str, Sequence[Making]], book: Book) -> Larger:
    found: dict[int, dict[str, Fraction]] = defaultdict(dict)
    for code, each in made.items():
        for making in each:
            if len(making.orders) > 1:
                grams = dict(batch_amounts(together_units(making.orders), book))[code]
                for order in making.orders:
                    found[order.pk][code] = grams
    return found


def _unplanned(own: Ends, larger: Mapping[str, Fraction]) -> Ends:
    """Return an order's ends without those of batches that cannot be ready in time at their size: no hour is right."""
    return {place: end for place, end in own.items() if place[0] not in larger}


def _dated(making: Making, code: str, ends: EndsByOrder, book: Book, zone: ZoneInfo) -> Making:
    """Return a making on the day on which it leaves the heat at the size it has by now."""
    if len(making.orders) < 2:
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
