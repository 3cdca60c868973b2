"""Batches that several orders make together: what breaks the cooling rule at their common size, and not alone."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone

from catalog.cooling.amounts import batch_amounts
from catalog.cooling.batch_dividing import Dividing, dividing
from costing.contract import Book
from orders.cooling_log.making_days import makings, planned_ends
from orders.cooling_log.sharing import hot_codes, others_of, together_units
from orders.cooling_log.time_left import is_cold_apart, minutes_left
from orders.orders.models import Order
from orders.planning.planned_batches import planned_batches
from orders.quotes.cooling.selectors import Broken, Item, judge
from orders.records.states import ORDERS_AHEAD


@dataclass(frozen=True, slots=True)
class Together:
    """A batch that breaks its rule as it is made for several orders at once, and how it has to be divided.

    ``ways`` are those with which it is cold before the first of the orders takes of it, were it begun now; ``apart``
    tells that each order's own amount is.
    """

    broken: Broken
    orders: tuple[Order, ...]
    ways: Dividing
    apart: bool = True

    @property
    def keys(self) -> tuple[int, ...]:
        """Keys of the orders it is made for."""
        return tuple(order.pk for order in self.orders)

    @property
    def numbers(self) -> tuple[str, ...]:
        """Numbers of the orders it is made for."""
        return tuple(order.number for order in self.orders)


#: Key of an order -> what of it breaks the rule only together with others.
TogetherMarks = Mapping[int, Mapping[Item, Together]]


def broken_together(orders: Sequence[Order], book: Book) -> TogetherMarks:
    """Return the batches that break the rule as the kitchen makes them for several orders on one day.

    The day is the one on which the plan of each order has it leave the heat, whenever they are handed over. Two queries
    for the other orders of these days where something is made hot, and one where a batch is made for several.
    """
    ahead = [order for order in orders if order.status in ORDERS_AHEAD]
    codes = {code for order in ahead for code in hot_codes(order, book)}
    if not codes:
        return {}
    found: dict[int, dict[Item, Together]] = defaultdict(dict)
    for one in _of_groups(_groups([*ahead, *others_of(ahead, book)], codes, book), book):
        for order in one.orders:
            found[order.pk].setdefault(one.broken.item, one)
    return found


def _groups(orders: Sequence[Order], codes: Iterable[str], book: Book) -> list[tuple[str, tuple[Order, ...]]]:
    """Return the recipes that are made for several orders at once, with these orders."""
    if len(orders) < 2:
        return []
    plan = planned_batches(orders, book)
    made = makings(orders, book, planned_ends(orders, book, plan, at=timezone.now()), plan)
    return [(code, one.orders) for code in sorted(codes) for one in made.get(code, ()) if len(one.orders) > 1]


def _of_groups(groups: Sequence[tuple[str, tuple[Order, ...]]], book: Book) -> Iterable[Together]:
    tables = {tuple(order.pk for order in group): together_units(group) for _, group in groups}
    judged = judge(tables, book) if tables else {}
    amounts = {key: dict(batch_amounts(units, book)) for key, units in tables.items()}
    for code, group in groups:
        key = tuple(order.pk for order in group)
        for one in judged[key].broken:
            if one.item.kind == "recipe" and one.code == code:
                ordered = tuple(sorted(group, key=lambda order: (order.window_start, order.pk)))
                left = minutes_left(ordered, code, book, at=timezone.now())
                ways = dividing(code, amounts[key][code], book).within(left)
                yield Together(one, ordered, ways, is_cold_apart(ordered, code, book, left))
