"""What of an order likely meets its cooling rule, but not at the slow end: it is measured, and nothing waits for it."""

from collections.abc import Mapping

from catalog.recipes.models import Recipe as RecipeRow
from costing.contract import Book
from orders.cooling_log.making_days import units_of
from orders.cooling_log.selectors import CoolingMark, book_now
from orders.orders.models import Order
from orders.quotes.cooling.remarked import likely_within
from orders.quotes.cooling.selectors import Item
from orders.records.states import ORDERS_AHEAD


def likely_of(order: Order, marks: Mapping[Item, CoolingMark], book: Book) -> dict[str, tuple[str, ...]]:
    """Return by product code the names of what of it is to be measured so; what is marked says it itself.

    One query where something is, and something is marked. What the Book has no more is left out.
    """
    known = {product.code for product in book.products}
    found = likely_within({code: count for code, count in units_of(order).items() if code in known}, book)
    batches = {item.pk for item in marks if item.kind == "recipe"}
    named = set(RecipeRow.objects.filter(pk__in=batches).values_list("name", flat=True)) if found and batches else set()
    named |= {mark.name for mark in marks.values()}
    left = {code: tuple(name for name in names if name not in named) for code, names in found.items()}
    return {code: names for code, names in left.items() if names}


def likely_names(order: Order, marks: Mapping[Item, CoolingMark]) -> tuple[str, ...]:
    """Return the names of all of an order that is to be measured so; nothing while the catalog has an error."""
    book = book_now() if order.status in ORDERS_AHEAD else None
    found = {} if book is None else likely_of(order, marks, book)
    return tuple(dict.fromkeys(name for names in found.values() for name in names))
