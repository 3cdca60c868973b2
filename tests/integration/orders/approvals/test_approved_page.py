"""The customer's page of an approved quote: where its order stands, its invoice, credited in part and in full."""

import re
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from orders.orders.models import Order
from orders.quotes.models import Quote
from tests.factories import EVENT, approved_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in
from tests.integration.orders.builders import credit, invoice_make, pay
from tests.integration.orders.private_link import entered

pytestmark = pytest.mark.django_db
Enter = Callable[[Quote], Client]


@pytest.fixture
def enter(client: Client) -> Enter:
    """Return a function that logs in with a new link."""
    kitchen_make()
    return partial(entered, client)


def text(answer: Any) -> str:
    return str(answer.content.decode())


def test_the_approved_page_says_where_the_order_stands_and_what_is_paid(enter: Enter) -> None:
    quote = approved_make()
    order = Order.objects.get(quote=quote)
    day = f"{order.deposit_due_on:%A, %B} {order.deposit_due_on.day}" if order.deposit_due_on else ""
    page = text(enter(quote).get(f"/q/{quote.pk}/"))
    assert "<dt>Order status</dt><dd>confirmed</dd>" in page
    assert "<dt>Paid</dt><dd>$0.00</dd>" in page
    assert re.search(rf"The deposit of <strong>\$[\d,.]+</strong> is due by <strong>{day}", page)
    assert "Deposit due" not in page, "it stands under what happens next, and in what was approved"
    assert "We deliver to " in page
    assert "Delivered to" not in page.partition("What you approved")[0]

    pay(order, order.deposit_minor, "deposit")
    page = text(enter(quote).get(f"/q/{quote.pk}/"))
    assert "is paid. Thank you." in page
    assert "Deposit due" not in page
    assert "Please give the number" not in page

    invoice = invoice_make(order)
    page = text(enter(quote).get(f"/q/{quote.pk}/"))
    assert f"by {invoice.due_on:%A, %B} {invoice.due_on.day}, 2027, invoice {invoice.number}" in page
    assert "We send the invoice" not in page

    pay(order, invoice.due_minor)
    page = text(enter(quote).get(f"/q/{quote.pk}/"))
    assert "Your invoice is paid. Thank you." in page
    assert "Balance due" not in page


def test_a_final_count_that_has_passed_is_said_to_be_past(enter: Enter, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = approved_make()
    order = Order.objects.get(quote=quote)
    # January 27 is the final count's day, February 6 the event's.
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT - timedelta(days=5))
    page = text(enter(quote).get(f"/q/{quote.pk}/"))
    assert "The final number of guests was due by Wednesday, January 27, 2027." in page
    assert "Please tell us the final number" not in page
    # Terms as approved are there to open: what is next has them already.
    assert "Payment and changes, as approved" in page
    shown = text(signed_in("owner").get(reverse("order", args=[order.pk])))
    assert '<span class="soft">(this day has passed)</span>' in shown


def test_the_approved_page_names_the_credit_notes_of_the_invoice(enter: Enter) -> None:
    quote = approved_make()
    order = Order.objects.get(quote=quote)
    invoice = invoice_make(order)
    client, number = enter(quote), invoice.number
    line = invoice.lines.order_by("pk")[0]
    note = credit(invoice, {line.pk: 500})
    page = text(client.get(f"/q/{quote.pk}/"))
    open_ = f"${(invoice.total_minor - note.total_minor) / 100:,.2f}"
    total, credited = (f"${one.total_minor / 100:,.2f}" for one in (invoice, note))
    assert f"Invoice {number} of {total}, credited {credited} by {note.number}: <strong>{open_}</strong> is due" in page

    pay(order, 10_000)
    page = text(client.get(f"/q/{quote.pk}/"))
    assert f"Invoice {number} of {total}, $100.00 paid, credited {credited} by {note.number}: <strong>" in page

    pay(order, invoice.total_minor - note.total_minor - 10_000)
    page = text(client.get(f"/q/{quote.pk}/"))
    assert f"Invoice {number} of {total}, credited {credited} by {note.number}, is paid. Thank you." in page
    assert "more than that" not in page


def test_the_approved_page_shows_no_balance_of_an_invoice_credited_in_full(enter: Enter) -> None:
    quote = approved_make()
    order = Order.objects.get(quote=quote)
    pay(order, order.deposit_minor, "deposit")
    invoice = invoice_make(order)
    note = credit(invoice)
    page = text(enter(quote).get(f"/q/{quote.pk}/"))
    assert f"Invoice {invoice.number} was credited in full by {note.number}." in page
    assert f"You paid <strong>${order.deposit_minor / 100:,.2f}</strong>; we will be in touch about it." in page
    assert "We send the invoice" not in page
    assert "Balance due" not in page
    assert "The deposit of" not in page
