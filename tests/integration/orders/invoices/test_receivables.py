"""What is owed and by whom, what customers have to their credit, and the list of payments."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from orders.documents.content import content_read
from orders.invoices.models import Payment, ScheduledPayment
from orders.invoices.payments import payment_reverse
from orders.invoices.receivables import (
    AGES,
    credits_held,
    currencies_owed,
    not_invoiced,
    open_invoices,
    payments_listed,
    receivables_by_age,
)
from orders.invoices.running_sums import payment_counted
from orders.invoices.schedule import deposit_due_on, scheduled_late, scheduled_waiting
from orders.invoices.services import invoice_draft
from orders.orders.models import Order
from orders.orders.services import order_cancel, order_deliver
from orders.records.money import minor_units
from tests.factories import BY
from tests.integration.orders.builders import LATER, YES, credit, invoice_make, order_make, pay
from tests.rules_aside import rules_aside
from tests.starting import order_start

pytestmark = pytest.mark.django_db


def owing(rows: Iterable[ScheduledPayment]) -> list[Order]:
    """Return the orders of payments that are due."""
    return [row.order for row in rows]


def test_open_invoices_stand_the_longest_due_first_with_what_is_open_on_each() -> None:
    paid, late, later = (invoice_make(order_make(), at=LATER + timedelta(days=day)) for day in (0, 2, 1))
    pay(paid.order, paid.due_minor, at=LATER + timedelta(days=3))
    pay(late.order, 1_000, at=LATER + timedelta(days=3))
    note = credit(later, {later.lines.all()[0].pk: 2_000}, at=LATER + timedelta(days=4))
    rows = [(row.pk, row.paid, row.credited, row.open) for row in open_invoices()]
    assert rows == [
        (later.pk, 0, note.total_minor, later.due_minor - note.total_minor),
        (late.pk, 1_000, 0, late.due_minor - 1_000),
    ]


def test_each_age_counts_its_documents_and_their_open_money_in_the_currency_asked_for() -> None:
    first = invoice_make(order_make())
    second = invoice_make(order_make(), at=LATER + timedelta(days=31))
    assert first.due_on is not None
    ages = receivables_by_age(today=first.due_on + timedelta(days=1), currency="USD")
    assert [age.code for age in ages] == list(AGES)
    assert [(age.documents, minor_units(age.open)) for age in ages] == [
        (1, second.due_minor),
        (1, first.due_minor),
        (0, 0),
        (0, 0),
        (0, 0),
    ]
    assert sum(age.documents for age in receivables_by_age(today=first.due_on, currency="EUR")) == 0
    assert currencies_owed() == ["USD"]


@pytest.mark.parametrize(
    ("late", "place"),
    [
        *((-1, 0), (0, 0)),
        *((1, 1), (30, 1)),
        *((31, 2), (60, 2)),
        *((61, 3), (90, 3)),
        *((91, 4), (120, 4), (121, 4), (150, 4), (151, 4), (400, 4)),
    ],
)
def test_an_age_has_its_first_and_last_day(late: int, place: int) -> None:
    due = invoice_make(order_make()).due_on
    assert due is not None
    ages = receivables_by_age(today=due + timedelta(days=late), currency="USD")
    assert [age.documents for age in ages] == [int(at == place) for at in range(5)]


def test_nothing_is_owed_where_nothing_was_invoiced() -> None:
    order_make()
    assert currencies_owed() == []
    assert list(open_invoices()) == []


def test_a_deposit_is_due_its_days_after_the_approval_and_none_is_where_none_is_asked_for() -> None:
    content = replace(content_read(order_make().quote.content), deposit_minor=1, deposit_days=7)
    assert deposit_due_on(content, approved_on=date(2027, 2, 24)) == date(2027, 3, 3)
    assert deposit_due_on(replace(content, deposit_days=0), approved_on=date(2027, 2, 24)) == date(2027, 2, 24)
    assert deposit_due_on(replace(content, deposit_minor=0), approved_on=date(2027, 2, 24)) is None


def test_a_deposit_waits_until_its_day_and_is_late_after_it() -> None:
    order, begun, off, done = (order_make() for _ in range(4))
    order_start(order_id=begun.pk, by=BY, at=LATER)
    order_cancel(order_id=off.pk, reason="Off.", by=BY, at=LATER)
    order_deliver(order_id=done.pk, by=BY, at=LATER)
    due = order.deposit_due_on
    assert due is not None
    pay(order, order.deposit_minor - 1, "deposit")
    assert [(row.order_id, row.received) for row in scheduled_waiting(today=due)] == [
        (order.pk, order.deposit_minor - 1),
        (begun.pk, 0),
    ]
    assert owing(scheduled_late(today=due)) == []
    late = due + timedelta(days=1)
    assert owing(scheduled_waiting(today=late)) == []
    assert owing(scheduled_late(today=late)) == [order, begun]
    pay(order, 1, "deposit")
    assert owing(scheduled_late(today=late)) == owing(scheduled_waiting(today=due)) == [begun]


def test_deposits_are_named_in_the_order_of_their_days() -> None:
    later, sooner = order_make(at=YES + timedelta(days=1)), order_make(at=YES)
    due = sooner.deposit_due_on
    assert due is not None
    assert owing(scheduled_waiting(today=due)) == [sooner, later]
    assert owing(scheduled_late(today=due + timedelta(days=9))) == [sooner, later]


@pytest.mark.parametrize(("deposit_minor", "named"), [(0, False), (1, True)])
def test_an_order_without_a_deposit_waits_for_none(deposit_minor: int, named: bool) -> None:
    order = order_make()
    with rules_aside():
        ScheduledPayment.objects.filter(order=order).delete()
        if deposit_minor:
            facts = {"amount_minor": deposit_minor, "upto_minor": deposit_minor, "due_on": order.deposit_due_on}
            ScheduledPayment.objects.create(order=order, kind="deposit", **facts)
    pay(order, 100)
    pay(order, 100, "refund")
    due = order.deposit_due_on
    assert due is not None
    assert (order in owing(scheduled_waiting(today=due))) is named
    assert (order in owing(scheduled_late(today=due + timedelta(days=1)))) is named
    pay(order, 50, "deposit")
    pay(order, 50, "refund", idempotency_key="r" * 32)
    with rules_aside():
        Order.objects.filter(pk=order.pk).update(status="delivered", total_minor=deposit_minor, delivered_at=LATER)
    assert (order in not_invoiced()) is named


def test_a_credit_is_what_came_in_above_what_the_documents_ask_for() -> None:
    noted, even, early = order_make(), order_make(), order_make()
    invoice = invoice_make(noted)
    pay(noted, invoice.due_minor)
    note = credit(invoice, {invoice.lines.all()[0].pk: 2_000})
    pay(even, invoice_make(even).due_minor)
    pay(early, 5_000, "deposit")
    assert [(row.order, minor_units(row.amount)) for row in credits_held()] == [(noted, note.total_minor)]
    pay(noted, note.total_minor, "refund")
    assert credits_held() == []


def test_a_canceled_orders_money_is_a_credit_unless_the_kitchen_retains_it_and_a_draft_asks_for_nothing() -> None:
    refunded, retained, credited = order_make(), order_make(), order_make()
    for order, money in ((refunded, "refund"), (retained, "keep"), (credited, "credit")):
        pay(order, 1, "deposit")
        pay(order, order.deposit_minor - 1, "deposit")
        invoice_draft(order_id=order.pk, by=BY, at=LATER)
        order_cancel(order_id=order.pk, reason="Off.", money=money, by=BY, at=LATER)
    assert [(row.order, minor_units(row.amount)) for row in credits_held()] == [
        (refunded, refunded.deposit_minor),
        (credited, credited.deposit_minor),
    ]


def test_a_credit_of_the_least_amount_is_reported() -> None:
    order = order_make()
    pay(order, 1, "deposit")
    order_cancel(order_id=order.pk, reason="Off.", money="credit", by=BY, at=LATER)
    assert [(row.order, minor_units(row.amount)) for row in credits_held()] == [(order, 1)]


def test_two_currencies_of_one_order_are_no_sum() -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, invoice.due_minor + 100)
    euros = Payment.objects.create(
        order=order,
        kind="payment",
        method="30",
        amount_minor=70,
        currency="EUR",
        received_on=LATER.date(),
        idempotency_key="euros",
        recorded_at=LATER,
        recorded_by=BY,
    )
    payment_counted(euros)
    assert [str(row.amount.currency) for row in credits_held()] == ["EUR", "USD"]
    assert [minor_units(row.amount) for row in credits_held()] == [70, 100]


def test_a_draft_is_no_invoice_that_stands() -> None:
    order = order_make()
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    invoice_draft(order_id=order.pk, by=BY, at=LATER)
    assert list(not_invoiced()) == [order]


def test_what_was_delivered_waits_for_its_invoice_the_earliest_first_with_what_came_in() -> None:
    second, first, ahead, draft = (order_make() for _ in range(4))
    for hours, order in enumerate((first, second, draft)):
        order_deliver(order_id=order.pk, by=BY, at=LATER + timedelta(hours=hours))
    pay(second, 700)
    assert ahead not in not_invoiced()
    invoice_make(draft)
    assert [(order.pk, order.received) for order in not_invoiced()] == [(first.pk, 0), (second.pk, 700)]
    invoice = invoice_make(first)
    credit(invoice, {invoice.lines.all()[0].pk: 2_000})
    assert list(not_invoiced()) == [second], "an invoice that is credited in part still stands"


def test_payments_are_listed_the_latest_first_and_found_by_day_customer_and_order() -> None:
    order, other = order_make(), order_make()
    days = [LATER.date() + timedelta(days=day) for day in range(3)]
    rows = [pay(each, 100 + at, received_on=days[at]) for at, each in enumerate((order, other, order))]
    back = payment_reverse(payment_id=rows[0].pk, note="bounced", by=BY, at=LATER)
    assert list(payments_listed()) == [rows[2], rows[1], back, rows[0]]
    assert list(payments_listed(first=days[1])) == [rows[2], rows[1]]
    assert list(payments_listed(last=days[1])) == [rows[1], back, rows[0]]
    assert list(payments_listed(first=days[1], last=days[1])) == [rows[1]]
    assert list(payments_listed(find=other.number.lower())) == [rows[1]]
    assert len(payments_listed(find="FENWICK")) == 4
    assert list(payments_listed(find="nobody")) == []


def test_a_list_of_payments_takes_one_query_with_all_its_columns(django_assert_num_queries: Any) -> None:
    waiting, due, done = order_make(), order_make(), order_make()
    order_deliver(order_id=done.pk, by=BY, at=LATER)
    pay(waiting, 50, "deposit")
    invoice = invoice_make(due)
    back = payment_reverse(payment_id=pay(due, 100).pk, note="bounced", by=BY, at=LATER)
    day = waiting.deposit_due_on
    assert day is not None
    with django_assert_num_queries(2):
        shown = [(row.order.customer.name, row.invoice, row.reverses) for row in payments_listed()]
        assert [row.reversed_by for row in payments_listed() if row.pk == back.reverses_id] == [back]
    assert len(shown) == 3
    assert invoice in [row[1] for row in shown]
    for rows in (scheduled_late(today=day + timedelta(days=1)), scheduled_waiting(today=day)):
        with django_assert_num_queries(1):
            assert [row.order.customer.name for row in rows]
    with django_assert_num_queries(1):
        assert [order.customer.name for order in not_invoiced()]
    with django_assert_num_queries(1):
        assert [row.order.customer.name for row in open_invoices()]
    pay(due, invoice.due_minor + 5)
    with django_assert_num_queries(2):
        assert [row.order.customer.name for row in credits_held()]
