"""Orders to come that an edit of the catalog made unsafe: something breaks the cooling rule, and no record says why.

Or a step was edited, or added, and nobody has said since that it is cold.

A batch that breaks it only as several orders make it together is marked on their days (``together``), not here.
"""

from collections.abc import Iterable, Sequence
from typing import Final

from django.db.models import QuerySet

from catalog.cooling.batch_parts import codes_within
from costing.contract import Book
from orders.cooling_log.making_days import units_of
from orders.cooling_log.selectors import book_now
from orders.cooling_log.steps_open import open_steps
from orders.orders.models import Order
from orders.quotes.cooling.never_hot import OpenSteps
from orders.quotes.cooling.selectors import Broken, judge, overrides_of
from orders.records.states import OrderStatus

#: Most orders to come that are looked through.
MOST: Final = 100


def orders_unsafe(listed: Iterable[int] = ()) -> list[Order]:
    """Return the confirmed orders, other than some, whose cooling the owner has to settle; a few queries."""
    return [order for order, *_ in _unsafe(_confirmed().exclude(pk__in=list(listed)), book_now())]


def numbers_unsafe(kind: str, code: str) -> list[str]:
    """Return the numbers of the orders to come that a recipe or product makes unsafe as it is now."""
    book = book_now()
    rows = [] if book is None else _unsafe(_confirmed(), book)
    return [
        order.number
        for order, found, steps in rows
        if any((claim.kind, claim.code) == (kind, code) for claim, _ in steps)
        or (book and any(_is_in(kind, code, one, book) for one in found))
    ]


def _confirmed() -> QuerySet[Order]:
    orders = Order.objects.filter(status=OrderStatus.CONFIRMED).select_related("customer", "quote__inquiry")
    orders = orders.defer("quote__brief", "quote__content", "quote__estimate").prefetch_related("lines__product")
    return orders.order_by("window_start", "pk")


def _unsafe(rows: QuerySet[Order], book: Book | None) -> list[tuple[Order, Sequence[Broken], OpenSteps]]:
    """Return orders with what of them breaks the rule without a record for these steps, and with their open steps."""
    orders = list(rows[:MOST])
    if book is None or not orders:
        return []
    judged = judge({order.pk: units_of(order) for order in orders}, book)
    broken = {order: judged[order.pk].broken for order in orders if judged[order.pk].broken}
    known = overrides_of({order.quote_id for order in broken}) if broken else {}
    marks = {(pk, item): row.mark for pk, found in known.items() for item, row in found.items()}
    steps = open_steps(orders, book)
    found = (
        (
            order,
            [one for one in broken.get(order, ()) if marks.get((order.quote_id, one.item)) != one.mark],
            steps.get(order.pk, []),
        )
        for order in orders
    )
    return [one for one in found if one[1] or one[2]]


def _is_in(kind: str, code: str, one: Broken, book: Book) -> bool:
    """Return whether a recipe or product is what breaks the rule, or a recipe in it."""
    if one.item.kind == kind and one.code == code:
        return True
    return kind == "recipe" and one.item.kind == "product" and code in codes_within(book.product(one.code), book)
