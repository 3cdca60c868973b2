"""Starting production so early that all of it would be older than it keeps is asked about, once."""

from datetime import timedelta

import pytest
from django.urls import reverse

from catalog.book.selectors import book_current
from orders.cooling_log.too_early import TooEarly, too_early
from orders.orders.models import Order
from orders.orders.services import order_start
from orders.records.cooling_errors import StartEarly
from orders.records.models import AuditEntry
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import BY, NOW
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def order() -> Order:
    """An order whose day is a month ahead."""
    cooling_kitchen_make()
    made = order_make()
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    return rows.get(pk=made.pk)


def early(order: Order) -> TooEarly:
    found = too_early(order, book_current(), at=NOW)
    assert found is not None
    return found


def test_what_would_be_too_old_is_named_with_the_day_from_which_it_is_not(order: Order) -> None:
    found = early(order)
    assert "Custard tart, 10 cm" in found.names
    assert too_early(order, book_current(), at=found.first) is None
    assert too_early(order, book_current(), at=found.first - timedelta(days=1)) is not None


def test_a_start_is_refused_until_it_is_seen_and_stands_in_the_history(order: Order) -> None:
    found = early(order)
    with pytest.raises(StartEarly):
        order_start(order_id=order.pk, by=BY, at=NOW)
    with pytest.raises(StartEarly):
        order_start(order_id=order.pk, early="of something else", by=BY, at=NOW)
    order_start(order_id=order.pk, early=found.mark, by=BY, at=NOW)
    assert AuditEntry.objects.get(document="order", event="start").params["early"] == found.names
    assert "Earlier than it keeps: " in text(signed_in("owner").get(reverse("order", args=[order.pk])))


def test_the_page_asks_by_name_and_takes_the_tick(order: Order) -> None:
    owner = signed_in("owner")
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert "Made today, this would be older than it keeps when the order leaves:" in page
    refused = owner.post(reverse("order-start", args=[order.pk]), {})
    assert refused.status_code == 422
    assert "or check the box that each is made on its day." in text(refused)
    sent = {"early": early(order).mark}
    assert owner.post(reverse("order-start", args=[order.pk]), sent).status_code == 302
