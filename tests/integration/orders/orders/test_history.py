"""What the history of an order says: who did what, with amounts and people as they are read."""

from datetime import timedelta

import pytest

from catalog.web import display
from orders.invoices.payments import payment_reverse
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.models import Order
from orders.orders.presenters import order_history_rows
from orders.orders.selectors import order_history
from orders.orders.services import order_cancel
from tests.factories import BY, NOW, kitchen_make
from tests.integration.orders.builders import credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=2)


def history(order: Order) -> list[tuple[str, str, str]]:
    with display.use(display.DisplaySettings(locale="en_US", currency="USD")):
        return [
            (row.what, row.by, row.note)
            for row in order_history_rows(order_history(order), "Ida Fenwick", order.invoices.all())
        ]


def test_money_and_documents_stand_in_the_order_s_history() -> None:
    kitchen_make()
    order = order_make()
    pay(order, 100_00)
    deposit = pay(order, 50_00, "deposit")
    payment_reverse(payment_id=deposit.pk, note="on the wrong order", by=BY, at=LATER)
    invoice = invoice_issue(invoice_id=invoice_draft(order_id=order.pk, by=BY, at=LATER).pk, by=BY, at=LATER)
    note = credit(invoice)
    assert history(order) == [
        ("order confirmed", "Ida Fenwick (customer)", f"from quote {order.quote.number}"),
        ("payment recorded", BY, "$100.00 bank transfer"),
        ("deposit recorded", BY, "$50.00 bank transfer"),
        ("deposit payment reversed", BY, "−$50.00 bank transfer"),
        ("invoice drafted", BY, ""),
        (f"invoice {invoice.number} issued", BY, ""),
        (f"credit note {note.number} issued", BY, ""),
        ("invoice credited in full", BY, ""),
    ]


def test_a_settled_invoice_says_whether_it_was_paid_or_credited() -> None:
    kitchen_make()
    paid, partly = order_make(), order_make()
    invoice = invoice_make(paid)
    pay(paid, invoice.total_minor)
    assert ("invoice paid in full", BY, "") in history(paid)
    invoice = invoice_make(partly)
    credit(invoice, {invoice.lines.filter(kind="line")[0].pk: 100})
    pay(partly, invoice.total_minor - invoice.credit_notes.get().total_minor)
    assert ("invoice partly credited, the rest paid", BY, "") in history(partly)


def test_a_cancellation_says_why_and_what_becomes_of_the_money() -> None:
    kitchen_make()
    paid, unpaid = order_make(), order_make()
    pay(paid, 50_00)
    order_cancel(order_id=paid.pk, reason="The hall burned down", money="credit", by=BY, at=LATER)
    order_cancel(order_id=unpaid.pk, reason="They eloped", by=BY, at=LATER)
    assert history(paid)[-1] == (
        "order canceled",
        BY,
        "“The hall burned down” What was paid is held as customer credit.",
    )
    assert history(unpaid)[-1] == ("order canceled", BY, "They eloped")
