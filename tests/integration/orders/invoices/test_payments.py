"""Payments in part, in full or too high, refunds, and reversals of mistakes."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from catalog.kitchen.models import Kitchen
from catalog.web.display import kitchen_display
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import order_money
from orders.invoices.payments import _added, payment_reverse
from orders.invoices.selectors import paid_and_credited
from orders.orders.presenters import order_history_rows
from orders.orders.services import order_close, order_deliver
from orders.records.errors import AlreadyReversed, CreditLeft, RecordedBefore, TooMuchBack
from orders.records.models import AuditEntry
from orders.records.presenters import HistoryRow
from tests.factories import BY
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def status(invoice: Invoice) -> str:
    return Invoice.objects.values_list("status", flat=True).get(pk=invoice.pk)


def test_part_payments_change_the_invoices_status_until_it_is_paid() -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, 10_000)
    assert status(invoice) == "part_paid"
    pay(order, 10_000)
    assert status(invoice) == "part_paid"
    pay(order, invoice.due_minor - 20_000)
    assert status(invoice) == "paid"


def test_the_same_form_sent_twice_records_once() -> None:
    order = order_make()
    first = pay(order, 10_000, idempotency_key="k" * 32)
    second = pay(order, 10_000, idempotency_key="k" * 32)
    assert first == second
    assert Payment.objects.count() == 1


def test_too_much_is_the_customers_and_goes_back() -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, invoice.due_minor + 1_500)
    assert status(invoice) == "paid"
    assert order_money(order).credit == 1_500
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    with refused(CreditLeft, match=r"\$15\.00"):
        order_close(order_id=order.pk, by=BY, at=LATER)
    with refused(TooMuchBack, match=r"At most \$15\.00"):
        pay(order, 1_501, "refund")
    refund = pay(order, 1_500, "refund")
    assert refund.amount_minor == -1_500
    assert (order_money(order).balance, status(invoice)) == (0, "paid")


def test_a_mistake_is_taken_back_by_a_row_and_the_invoice_is_owed_again() -> None:
    order = order_make()
    invoice = invoice_make(order)
    payment = pay(order, invoice.due_minor)
    payment_reverse(payment_id=payment.pk, note="on the wrong order", by=BY, at=LATER)
    assert status(invoice) == "issued"
    assert list(Payment.objects.values_list("amount_minor", flat=True)) == [invoice.due_minor, -invoice.due_minor]
    for mistaken in Payment.objects.all():
        with pytest.raises(AlreadyReversed):
            payment_reverse(payment_id=mistaken.pk, note="again", by=BY, at=LATER)


def test_a_deposit_taken_back_after_the_invoice_is_owed_on_it() -> None:
    order = order_make()
    deposit = pay(order, order.deposit_minor, "deposit")
    invoice = invoice_make(order, at=LATER + timedelta(hours=1))
    pay(order, invoice.due_minor, at=LATER + timedelta(hours=2))
    assert status(invoice) == "paid"
    payment_reverse(payment_id=deposit.pk, note="the bank took it back", by=BY, at=LATER + timedelta(days=3))
    paid, credited = paid_and_credited(invoice)
    assert invoice.due_minor - paid - credited == order.deposit_minor == order_money(order).balance
    assert status(invoice) == "part_paid"


def test_money_of_a_credited_invoice_serves_the_next_one() -> None:
    order = order_make()
    first = invoice_make(order)
    payment = pay(order, first.due_minor)
    credit(first, at=LATER + timedelta(hours=1))
    second = invoice_make(order, at=LATER + timedelta(hours=2))
    assert (second.due_minor, status(second)) == (0, "paid")
    payment_reverse(payment_id=payment.pk, note="bounced", by=BY, at=LATER + timedelta(days=2))
    assert status(second) == "issued"
    assert order_money(order).balance == second.total_minor


def test_a_recorded_row_never_changes() -> None:
    payment = pay(order_make(), 10_000)
    with pytest.raises(DatabaseError), transaction.atomic():
        Payment.objects.filter(pk=payment.pk).update(amount_minor=1)
    with pytest.raises(DatabaseError), transaction.atomic():
        Payment.objects.filter(pk=payment.pk).delete()


@pytest.mark.parametrize(
    "changed",
    [{"amount_minor": 20_000}, {"kind": "deposit"}, {"method": "10"}, {"received_on": LATER.date() - timedelta(1)}],
)
def test_other_money_from_a_form_that_was_sent_is_refused_and_not_swallowed(changed: dict[str, Any]) -> None:
    order = order_make()
    facts: dict[str, Any] = {"amount_minor": 10_000, "kind": "payment", "idempotency_key": "k" * 32}
    pay(order, **facts)
    with refused(RecordedBefore, match=r"already recorded \$100\.00"):
        pay(order, **{**facts, **changed})
    assert Payment.objects.count() == 1


def test_a_form_that_was_sent_for_one_order_records_nothing_on_another() -> None:
    one, other = order_make(), order_make()
    facts: dict[str, Any] = {"amount_minor": 10_000, "kind": "payment", "idempotency_key": "k" * 32}
    pay(one, **facts)
    with pytest.raises(RecordedBefore):
        pay(other, **facts)
    assert list(Payment.objects.values_list("order", "amount_minor")) == [(one.pk, 10_000)]
    assert order_money(other).received == 0


def history_row(entry: AuditEntry) -> HistoryRow:
    (row,) = order_history_rows([entry])
    return row


def test_what_was_entered_is_saved_on_the_row_and_shown_in_the_history() -> None:
    order = order_make()
    day = LATER.date() - timedelta(days=3)
    plain = pay(order, 100)
    assert (plain.reference, plain.note) == ("", "")
    recorded = pay(order, 10_000, "deposit", method="48", received_on=day, reference="B 2107", note="by hand", by="kim")
    row = Payment.objects.get(pk=recorded.pk)
    assert (row.order, row.kind, row.method, row.amount_minor, row.currency) == (order, "deposit", "48", 10_000, "USD")
    assert (row.received_on, row.reference, row.note) == (day, "B 2107", "by hand")
    assert (row.recorded_by, row.recorded_at) == ("kim", LATER)
    entry = AuditEntry.objects.get(document="order", document_pk=order.pk, event="deposit")
    assert (history_row(entry).note, entry.by, entry.at) == ("$100.00 card", "kim", LATER)


def test_the_row_that_takes_one_back_says_the_same_with_the_other_sign() -> None:
    order = order_make()
    invoice_make(order)
    mistaken = pay(order, 10_000, method="48", reference="B 2107", received_on=LATER.date() - timedelta(days=2))
    at = LATER + timedelta(days=1)
    row = payment_reverse(payment_id=mistaken.pk, note="on the wrong order", by="kim", at=at)
    for name in ("order", "invoice", "kind", "method", "currency", "received_on", "reference"):
        assert getattr(row, name) == getattr(mistaken, name), name
    assert (row.amount_minor, row.reverses, row.note) == (-10_000, mistaken, "on the wrong order")
    assert (row.idempotency_key, row.recorded_by, row.recorded_at) == (f"reverses-{mistaken.pk}", "kim", at)
    assert history_row(AuditEntry.objects.get(event="payment", by="kim")).note == "−$100.00 card"


def test_a_deposit_of_the_same_moment_as_the_invoice_was_taken_off_it() -> None:
    order = order_make()
    deposit = pay(order, order.deposit_minor, "deposit")
    invoice = invoice_make(order)
    row = payment_reverse(payment_id=deposit.pk, note="bounced", by=BY, at=LATER)
    assert (deposit.invoice, row.invoice) == (None, invoice)


def test_what_an_invoice_took_nothing_off_for_is_not_owed_on_it() -> None:
    order = order_make()
    deposit = pay(order, 10_000, "deposit")
    pay(order, 10_000, "refund")
    invoice = invoice_make(order)
    assert invoice.prepaid_minor == 0
    assert payment_reverse(payment_id=deposit.pk, note="bounced", by=BY, at=LATER).invoice is None


def test_refusals_name_the_money_of_the_order_whatever_the_kitchen_counts_in_now() -> None:
    order = order_make()
    pay(order, 10_000, idempotency_key="k" * 32)
    Kitchen.objects.update(currency="JPY")
    with kitchen_display(Kitchen.objects.get()):
        with refused(RecordedBefore, match=r"already recorded \$100\.00"):
            pay(order, 20_000, idempotency_key="k" * 32)
        with refused(TooMuchBack, match=r"At most \$100\.00 can be refunded: .* credit of Ida Fenwick on O-00001\."):
            pay(order, 10_001, "refund")
        pay(order, 5_000)
        last = AuditEntry.objects.filter(event="payment").latest("pk")
        assert history_row(last).note == "$50.00 bank transfer"


def test_of_two_rows_of_one_form_at_the_same_moment_the_first_is_given_back() -> None:
    """The second looked for the form's key before the first was written."""
    order = order_make()
    first = pay(order, 10_000, idempotency_key="k" * 32)
    facts = {field.attname: getattr(first, field.attname) for field in Payment._meta.concrete_fields}
    assert _added(Payment(**{**facts, "id": None})) == first
    assert Payment.objects.count() == 1
