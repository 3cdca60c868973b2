"""Steps of what is made for orders to come that nobody has said are cold, as they are now.

An answer holds for the step as it was. Whoever changes it is asked by the next review; until then it stands as open
wherever the order does.
"""

from collections.abc import Iterable

from costing.contract import Book
from orders.cooling_log.making_days import units_of
from orders.cooling_log.selectors import book_now
from orders.orders.models import Order
from orders.quotes.cooling.never_hot import OpenSteps, steps_open
from orders.records.states import ORDERS_AHEAD


def open_steps(orders: Iterable[Order], book: Book | None = None) -> dict[int, OpenSteps]:
    """Return the open steps of orders to come by their keys, of those that have any; at most one query.

    None are known while the Book has an error.
    """
    ahead, book = [order for order in orders if order.status in ORDERS_AHEAD], book or book_now()
    return {} if book is None else steps_open({order.pk: units_of(order) for order in ahead}, book)
