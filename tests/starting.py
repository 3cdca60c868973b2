"""Starting production in tests: whoever does has seen what would be older than it keeps, were it made by then."""

from datetime import datetime
from typing import Any

from orders.cooling_log.selectors import book_now
from orders.cooling_log.too_early import too_early
from orders.orders.models import Order
from orders.orders.services import order_start as start


def order_start(*, order_id: int, at: datetime, **facts: Any) -> Order:
    """Start production as its page does, with the mark of an early start."""
    order = Order.objects.select_related("quote__inquiry__customer").get(pk=order_id)
    early = too_early(order, book_now(), at=at)
    return start(order_id=order_id, at=at, **{"early": early.mark if early else ""} | facts)
