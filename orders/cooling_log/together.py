"""Batches that several orders make together: what breaks the cooling rule at their common size, and not alone."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from catalog.cooling.batch_dividing import Dividing, dividing
from catalog.kitchen.selectors import kitchen_zone, local_day
from costing.contract import Book
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Broken, Item, Units, batch_amounts, hot_batches, judge
from orders.records.states import ORDERS_AHEAD


@dataclass(frozen=True, slots=True)
class Together:
    """A batch that breaks its rule as it is made for several orders at once, and how it has to be divided."""

    broken: Broken
    orders: tuple[Order, ...]
    ways: Dividing

    @property
    def numbers(self) -> tuple[str, ...]:
        """Numbers of the orders it is made for."""
        return tuple(order.number for order in self.orders)


#: Key of an order -> what of it breaks the rule only together with others.
TogetherMarks = Mapping[int, Mapping[Item, Together]]


def broken_together(orders: Sequence[Order], book: Book, *, at_once: bool = False) -> TogetherMarks:
    """Return the batches that break the rule as the orders of one day make them together.

    ``at_once`` counts all the orders given as made together besides, as a sheet for several days has them. Three
    queries for the other orders of these days, where something is made hot.
    """
    ahead = [order for order in orders if order.status in ORDERS_AHEAD]
    if not any(hot_batches(units_of(order), book) for order in ahead):
        return {}
    zone, days = kitchen_zone(), defaultdict[date, list[Order]](list)
    for order in (*ahead, *_others(ahead, zone)):
        days[local_day(order.window_start, zone)].append(order)
    groups = [*days.values(), ahead] if at_once and len(days) > 1 else list(days.values())
    found: dict[int, dict[Item, Together]] = defaultdict(dict)
    for one in _of_groups([group for group in groups if len(group) > 1], book):
        for order in one.orders:
            found[order.pk].setdefault(one.broken.item, one)
    return found


def units_of(order: Order) -> Units:
    """Return the units of an order by product code; its lines come with their products."""
    return {line.product.code: line.units for line in order.lines.all()}


def _others(orders: Sequence[Order], zone: ZoneInfo) -> Iterable[Order]:
    """Return the other orders that are handed over on the days of these, not those delivered or canceled."""
    days = sorted({local_day(order.window_start, zone) for order in orders})
    start = datetime.combine(days[0], datetime.min.time(), zone)
    end = datetime.combine(days[-1] + timedelta(days=1), datetime.min.time(), zone)
    rows = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=start, window_start__lt=end)
    rows = rows.exclude(pk__in=[order.pk for order in orders]).prefetch_related("lines__product")
    return (order for order in rows if local_day(order.window_start, zone) in days)


def _of_groups(groups: Sequence[Sequence[Order]], book: Book) -> Iterable[Together]:
    tables = {key: _together(group) for key, group in enumerate(groups)}
    judged = judge(tables, book) if tables else {}
    for key, group in enumerate(groups):
        amounts = dict(batch_amounts(tables[key], book))
        for one in judged[key].broken:
            if one.item.kind == "recipe":
                concerned = [order for order in group if one.code in dict(batch_amounts(units_of(order), book))]
                ordered = tuple(sorted(concerned, key=lambda order: (order.window_start, order.pk)))
                if len(ordered) > 1:
                    yield Together(one, ordered, dividing(one.code, amounts[one.code], book))


def _together(orders: Iterable[Order]) -> Units:
    units: dict[str, int] = defaultdict(int)
    for order in orders:
        for code, count in units_of(order).items():
            units[code] += count
    return units
