"""What of an order is measured although nothing waits for it: likely cold in time, or slow by a rule without times."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from django.utils import timezone

from catalog.recipes.models import Recipe as RecipeRow
from costing.contract import Book
from orders.cooling_log.making_days import units_of
from orders.cooling_log.selectors import CoolingMark, Marks, book_now
from orders.cooling_log.sharing import larger_of
from orders.orders.models import Order
from orders.quotes.cooling.remarked import Minded, minded_within
from orders.quotes.cooling.selectors import Item
from orders.records.states import ORDERS_AHEAD


def likely_of(
    order: Order, marks: Mapping[Item, CoolingMark], book: Book, larger: Mapping[str, Fraction]
) -> dict[str, tuple[Minded, ...]]:
    """Return by product code the names of what of it is to be measured so; what is marked says it itself.

    ``larger`` are its batches that are made at once with those of other orders [g], by code of the recipe. One query
    where something is, and something is marked. What the Book has no more is left out.
    """
    known = {product.code for product in book.products}
    found = minded_within({code: count for code, count in units_of(order).items() if code in known}, book, larger)
    batches = {item.pk for item in marks if item.kind == "recipe"}
    named = set(RecipeRow.objects.filter(pk__in=batches).values_list("name", flat=True)) if found and batches else set()
    named |= {mark.name for mark in marks.values()}
    left = {code: tuple(one for one in names if one.name not in named) for code, names in found.items()}
    return {code: names for code, names in left.items() if names}


#: Key of an order -> code of a product -> the names of what of it is to be measured so.
Likely = Mapping[int, Mapping[str, tuple[Minded, ...]]]


def likely_of_orders(orders: Sequence[Order], marks: Marks, book: Book | None, *, others: bool = True) -> Likely:
    """Return what of some orders ahead is to be measured so, in the amounts made at once; nothing without a Book.

    They come with lines, products, customer and inquiry. Three queries where something is made hot. Without
    ``others`` nothing counts as made at once with other orders: the Book need not be the whole one then.
    """
    ahead = [order for order in orders if order.status in ORDERS_AHEAD]
    if book is None or not ahead:
        return {}
    larger = larger_of(ahead, book, at=timezone.now()) if others else {}
    found = {order.pk: likely_of(order, marks.get(order.pk, {}), book, larger.get(order.pk, {})) for order in ahead}
    return {pk: names for pk, names in found.items() if names}


def likely_inside(found: Likely) -> dict[str, tuple[Minded, ...]]:
    """Return by product code the batches in it that are to be measured so, over all orders, each once."""
    inside: dict[str, dict[Minded, None]] = {}
    for of_order in found.values():
        for code, names in of_order.items():
            inside.setdefault(code, {}).update(dict.fromkeys(one for one in names if not one.own))
    return {code: tuple(names) for code, names in inside.items() if names}


def minded_of(order: Order, marks: Mapping[Item, CoolingMark]) -> tuple[Minded, ...]:
    """Return all of an order that is to be measured so; nothing while the catalog has an error."""
    return all_minded(likely_of_orders([order], {order.pk: marks}, book_now()).get(order.pk, {}))


def all_minded(likely: Mapping[str, tuple[Minded, ...]]) -> tuple[Minded, ...]:
    """Return all of an order that is to be measured so, each once."""
    return tuple(dict.fromkeys(one for every in likely.values() for one in every))
