"""An order on screen: made, delivered, closed, canceled with its money, and its note for the kitchen."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from orders.orders.models import Order
from orders.orders.services import order_cancel, order_deliver
from orders.records.models import AuditEntry
from tests.factories import BY, PASSWORD, user_make
from tests.integration.forms_on_pages import save_edit
from tests.integration.orders.builders import LATER, invoice_make, order_make, pay
from tests.starting import on_its_first_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    return signed_in(client)


def signed_in(client: Client) -> Client:
    user_make("owner", name="maren")
    assert client.login(username="maren", password=PASSWORD)
    return client


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_an_order_is_begun_and_handed_over_with_what_to_remember(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = order_make()
    seen = on_its_first_day(order, monkeypatch)
    owner = signed_in(client)
    page = text_of(owner.post(reverse("order-start", args=[order.pk]), seen, follow=True))
    assert f"{order.number} is in production." in page
    page = text_of(owner.post(reverse("order-deliver", args=[order.pk]), {"note": "Taken by Jonas"}, follow=True))
    assert f"{order.number} is delivered." in page
    order.refresh_from_db()
    assert order.status == "delivered"
    entry = AuditEntry.objects.get(document="order", event="deliver")
    assert (entry.by, entry.note) == ("maren", "Taken by Jonas")


@pytest.mark.parametrize(("name", "most"), [("order-deliver", 300), ("order-note", 4000)])
def test_a_note_that_is_too_long_changes_nothing(owner: Client, name: str, most: int) -> None:
    order = order_make()
    answer = owner.post(reverse(name, args=[order.pk]), {"note": "x" * (most + 1)})
    assert answer.status_code == 422
    order.refresh_from_db()
    assert (order.status, order.note) == ("confirmed", "")


def test_the_note_for_the_kitchen_is_kept(owner: Client) -> None:
    order = order_make()
    note, page_of_it = reverse("order-note", args=[order.pk]), reverse("order", args=[order.pk])
    page = text_of(save_edit(owner, note, {"note": "Blue ribbons"}, page=page_of_it, follow=True))
    assert "Note saved." in page
    assert Order.objects.get(pk=order.pk).note == "Blue ribbons"


def test_an_order_is_closed_when_it_is_invoiced_and_paid_and_not_before(owner: Client) -> None:
    order = order_make()
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    assert owner.post(reverse("order-close", args=[order.pk])).status_code == 422
    assert Order.objects.get(pk=order.pk).status == "delivered"
    pay(order, invoice_make(order).due_minor)
    assert f"{order.number} is closed." in text_of(owner.post(reverse("order-close", args=[order.pk]), follow=True))
    assert Order.objects.get(pk=order.pk).status == "closed"


def test_an_order_without_money_is_canceled_with_the_reason_alone(owner: Client) -> None:
    order = order_make()
    address = reverse("order-cancel", args=[order.pk])
    assert "What happens with" not in text_of(owner.get(address))
    assert "Enter why the order is canceled." in text_of(owner.post(address, {"reason": ""}))
    page = text_of(owner.post(address, {"reason": "Called off."}, follow=True))
    assert f"{order.number} is canceled." in page
    assert Order.objects.get(pk=order.pk).status == "canceled"


def test_the_money_that_came_in_is_decided_on_when_an_order_is_canceled(owner: Client) -> None:
    order = order_make()
    pay(order, 5_000, "deposit")
    address = reverse("order-cancel", args=[order.pk])
    page = text_of(owner.get(address))
    assert "What happens with the $50.00 already paid" in page
    assert all(str(label) in page for label in Order.CanceledMoney.labels)
    page = text_of(owner.post(address, {"reason": "Called off."}))
    assert "Choose what happens with the payments received." in page
    assert Order.objects.get(pk=order.pk).status == "confirmed"
    owner.post(address, {"reason": "Called off.", "money": "keep"})
    found = Order.objects.get(pk=order.pk)
    assert (found.status, found.canceled_money) == ("canceled", "keep")
    again = text_of(owner.post(address, {"reason": "Again.", "money": "refund"}))
    assert "canceled" in again or "cancelled" in again
    assert Order.objects.get(pk=order.pk).canceled_money == "keep"


def test_a_text_is_looked_for_in_all_orders(owner: Client) -> None:
    order = order_make(title="Regatta supper")
    order_cancel(order_id=order.pk, reason="Off.", by=BY, at=LATER)
    page = owner.get(reverse("orders"), {"show": "open", "find": "regatta"}).content.decode()
    assert "Regatta supper" in page
    assert 'href="?show=open"' in page
    assert "All orders were searched." in owner.get(reverse("orders"), {"find": "nobody"}).content.decode()


def test_a_deposit_of_which_nothing_is_paid_names_its_amount_once(owner: Client) -> None:
    order = order_make()
    page = text_of(owner.get(reverse("order", args=[order.pk])))
    (stated,) = set(re.findall(r"Deposit of [^<]*", page))
    assert stated.count("$") == 1
    pay(order, 100)
    page = text_of(owner.get(reverse("order", args=[order.pk])))
    assert all(one.count("$") == 2 for one in re.findall(r"Deposit of [^<]*", page))
