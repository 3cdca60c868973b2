"""Orders to come that an edit of the catalog made unsafe: something breaks the cooling rule, and no record says why.

A batch that breaks it only as several orders make it together is marked on their days (``together``), not here.
"""

from collections.abc import Iterable, Sequence
from typing import Final

from django.db.models import QuerySet

from catalog.cooling.batch_parts import codes_within
from costing.contract import Book
from orders.cooling_log.making_days import units_of
from orders.cooling_log.selectors import book_now
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Broken, judge, overrides_of
from orders.records.states import OrderStatus

#: Most orders to come that are looked through.
MOST: Final = 100


def orders_unsafe(listed: Iterable[int] = ()) -> list[Order]:
    """Return the confirmed orders, other than some, whose cooling the owner has to settle; a few queries."""
    return [order for order, _ in _unsafe(_confirmed().exclude(pk__in=list(listed)), book_now())]


def numbers_unsafe(kind: str, code: str) -> list[str]:
    """Return the numbers of the orders to come that a recipe or product makes unsafe as it is now."""
    book = book_now()
    rows = [] if book is None else _unsafe(_confirmed(), book)
    return [order.number for order, found in rows if book and any(_is_in(kind, code, one, book) for one in found)]


def _confirmed() -> QuerySet[Order]:
    orders = Order.objects.filter(status=OrderStatus.CONFIRMED).select_related("customer", "quote__inquiry")
    orders = orders.defer("quote__brief", "quote__content", "quote__estimate").prefetch_related("lines__product")
    return orders.order_by("window_start", "pk")


def _unsafe(rows: QuerySet[Order], book: Book | None) -> list[tuple[Order, Sequence[Broken]]]:
    """Return orders with what of them breaks the rule without a record of the owner for these steps."""
    orders = list(rows[:MOST])
    if book is None or not orders:
        return []
    judged = judge({order.pk: units_of(order) for order in orders}, book)
    broken = {order: judged[order.pk].broken for order in orders if judged[order.pk].broken}
    known = overrides_of({order.quote_id for order in broken}) if broken else {}
    marks = {(pk, item): row.mark for pk, found in known.items() for item, row in found.items()}
    found = (
        (order, [one for one in every if marks.get((order.quote_id, one.item)) != one.mark])
        for order, every in broken.items()
    )
    return [(order, each) for order, each in found if each]


def _is_in(kind: str, code: str, one: Broken, book: Book) -> bool:
    """Return whether a recipe or product is what breaks the rule, or a recipe in it."""
    if one.item.kind == kind and one.code == code:
        return True
    return kind == "recipe" and one.item.kind == "product" and code in codes_within(book.product(one.code), book)
