"""What each role meets first on the day: what begins and leaves, then customers, then money; never a box of nothing."""

from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from catalog.outbox.models import Outbox
from orders.approvals.models import Message
from tests.factories import EVENT, NOW
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import invoice_make, order_make, pay

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def morning(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT.replace(hour=7))


def day_of(role: str) -> str:
    return text(opened(role))


def opened(role: str) -> Any:
    user = User.objects.filter(username=f"somebody-{role}").first()
    client = Client()
    if user is None:
        return signed_in(role).get(reverse("day"))
    client.force_login(user)
    return client.get(reverse("day"))


def test_work_comes_before_customers_and_customers_before_old_debts() -> None:
    owing = order_make(title="Old debt", window_start=EVENT - timedelta(days=20))
    invoice = invoice_make(owing)
    order = order_make(title="Leaves today")
    for kind, words in (("decline", "Found another."), ("change", "Twelve more, please.")):
        Message.objects.create(quote=order.quote, kind=kind, text=words, by="Ida", at=NOW)
    page = day_of("owner")
    places = [
        page.index(part) for part in ("New inquiry", "production should have started", "Leaves today", "From customers")
    ]
    places += [page.index(part) for part in ("Twelve more, please.", "Found another.", "The week at hand", "Overdue:")]
    assert places == sorted(places)
    assert "Ida Fenwick asks for a change" in page
    assert str(invoice.number) in page


def test_an_approval_is_news_for_three_days() -> None:
    order = order_make(title="Just approved", at=EVENT - timedelta(days=2), window_start=EVENT + timedelta(days=30))
    assert f"Ida Fenwick approved: {order.title} {order.number}" in day_of("owner")
    older = order_make(title="Long approved", at=EVENT - timedelta(days=4), window_start=EVENT + timedelta(days=31))
    assert older.number not in day_of("owner")


def test_a_quiet_day_is_one_quiet_line() -> None:
    order_make(window_start=EVENT + timedelta(days=30))
    for role in ("owner", "kitchen"):
        page = day_of(role)
        assert "Nothing has to start or leave in the next seven days." in page
        assert "Nothing leaves" not in page
    answer = opened("owner").content.decode()
    assert "card" not in answer.partition("<main")[2].partition("</main>")[0]


def test_the_week_names_what_leaves_on_each_day_and_links_the_list_of_a_full_one() -> None:
    for place in range(8):
        order_make(title=f"Lunch {place}", window_start=EVENT + timedelta(days=2))
    answer = signed_in("kitchen").get(reverse("day"))
    page = text(answer)
    week = page[page.index("The week at hand") :]
    assert "Lunch 5" in week
    assert "Lunch 6" not in week
    assert "2 more" in week
    address = f"{reverse('orders')}?show=all&amp;day={(EVENT + timedelta(days=2)).date()}"
    assert address in answer.content.decode()


def test_the_bookkeeper_meets_money_and_the_week_and_no_work() -> None:
    order = order_make()
    pay(order, 100)
    page = day_of("bookkeeper")
    missing = order.deposit_minor - 100
    assert f"${missing / 100:,.2f}" in page
    assert "The week at hand" in page
    for part in ("New inquiry", "Kitchen sheets", "From customers", "start production by"):
        assert part not in page


def test_the_kitchen_meets_work_and_the_week_and_no_money() -> None:
    order_make()
    page = day_of("kitchen")
    assert "Kitchen sheets" in page
    for part in ("New inquiry", "Money", "$", "Quotes waiting"):
        assert part not in page


def test_what_failed_is_named_at_the_top() -> None:
    refused = {"code": "unexpected", "params": {"error": "refused"}}
    Outbox.objects.create(kind="mail", summary="To Ida", status="failed", error=refused, created_at=NOW, run_after=NOW)
    page = day_of("owner")
    assert page.index("1 e-mail or file") < page.index("Nothing has to start or leave")
    assert page.index("To Ida") > page.index("Quotes waiting for customers")
