"""Starting production in tests: on a day on which something can be made, by somebody who has seen what cannot yet."""

from datetime import datetime
from typing import Any

from django.utils import timezone

from orders.cooling_log.selectors import book_now
from orders.cooling_log.too_early import TooEarly, too_early
from orders.orders.models import Order
from orders.orders.services import order_start as start
from orders.records.states import OrderEvent
from orders.records.transitions import transition
from tests.factories import BY


def order_start(*, order_id: int, at: datetime, **facts: Any) -> Order:
    """Start production as its page does; where nothing can be made yet, on the first day on which something can."""
    found = _early(order_id, at)
    if found is not None and found.nothing:
        at = found.first
        found = _early(order_id, at)
    return start(order_id=order_id, at=at, **{"early": found.mark if found else ""} | facts)


def started_long_before(order: Order, *, at: datetime) -> None:
    """Start production as long before its plan as orders were started before that was refused."""
    transition(order, OrderEvent.START, by=BY, at=at)


def on_its_first_day(order: Order, monkeypatch: Any) -> dict[str, str]:
    """Let it be a day on which something of an order can be made; return what its page sends of what cannot yet."""
    found = _early(order.pk, timezone.now())
    if found is not None and found.nothing:
        monkeypatch.setattr(timezone, "now", lambda: found.first)
        found = _early(order.pk, found.first)
    return {} if found is None else {"early": found.mark}


def _early(order_id: int, at: datetime) -> TooEarly | None:
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    return too_early(rows.get(pk=order_id), book_now(), at=at)
