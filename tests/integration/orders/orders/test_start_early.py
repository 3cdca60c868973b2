"""Production starts when something can be made: before that it is refused, with the first day of the plan."""

from datetime import datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from catalog.book.selectors import book_current
from orders.cooling_log.too_early import TooEarly, too_early
from orders.orders.models import Order
from orders.orders.services import order_start
from orders.records.cooling_errors import StartEarly, StartTooEarly
from orders.records.models import AuditEntry
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import BY, NOW
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.refusals import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def order() -> Order:
    """An order whose day is a month ahead."""
    cooling_kitchen_make()
    made = order_make()
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    return rows.get(pk=made.pk)


def early(order: Order, at: datetime = NOW) -> TooEarly:
    found = too_early(order, book_current(), at=at)
    assert found is not None
    return found


def ahead(order: Order) -> tuple[datetime, TooEarly]:
    """Return a day before the plan on which something can be made and something cannot, and what that is."""
    found = early(order)
    for days in range((found.planned - found.first).days):
        at = found.first + timedelta(days=days)
        if (asked := too_early(order, book_current(), at=at)) is not None:
            return at, asked
    raise AssertionError("No day on which something is asked.")


def test_what_would_be_too_old_is_named_with_the_day_from_which_it_is_not(order: Order) -> None:
    found = early(order)
    assert found.nothing
    assert "Custard tart, 10 cm" in found.names
    assert found.first <= found.planned
    on_first = too_early(order, book_current(), at=found.first)
    assert on_first is None or not on_first.nothing
    assert early(order, found.first - timedelta(days=1)).nothing


def test_where_nothing_can_be_made_no_tick_starts_it(order: Order) -> None:
    found = early(order)
    with refused(StartTooEarly, match="cannot be started yet") as refusal:
        order_start(order_id=order.pk, early=found.mark, by=BY, at=NOW)
    assert refusal.value.params["planned"] == found.planned
    assert Order.objects.get().status == "confirmed"


def test_the_page_says_from_when_on_and_has_no_button(order: Order) -> None:
    owner = signed_in("owner")
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert "Production can start from " in page
    assert "Too early" not in page, "nobody asked to start it"
    assert "Start production</button>" not in page
    answer = owner.post(reverse("order-start", args=[order.pk]), {"early": early(order).mark})
    assert answer.status_code == 422
    assert "cannot be started yet" in text(answer)


def test_before_its_plan_what_cannot_be_made_yet_is_asked_about_once(
    order: Order, monkeypatch: pytest.MonkeyPatch
) -> None:
    at, found = ahead(order)
    assert not found.nothing
    for mark in ("", "of something else"):
        with pytest.raises(StartEarly):
            order_start(order_id=order.pk, early=mark, by=BY, at=at)
    monkeypatch.setattr(timezone, "now", lambda: at)
    owner = signed_in("owner")
    shown = owner.get(reverse("order", args=[order.pk]))
    assert "Made today, this would be older than it keeps when the order leaves:" in text(shown)
    assert '<details class="more"><summary>Today is too early for' in shown.content.decode()
    refusal = owner.post(reverse("order-start", args=[order.pk]), {})
    assert refusal.status_code == 422
    assert "Check the box that each is made on its day." in text(refusal)
    assert owner.post(reverse("order-start", args=[order.pk]), {"early": found.mark}).status_code == 302
    assert AuditEntry.objects.get(document="order", event="start").params["early"] == found.names
    assert "Earlier than it keeps: " in text(owner.get(reverse("order", args=[order.pk])))


def test_from_the_first_day_of_its_plan_on_nothing_is_asked(order: Order) -> None:
    planned = early(order).planned
    assert too_early(order, book_current(), at=planned) is None
    order_start(order_id=order.pk, by=BY, at=planned)
