"""All that the page of an invoice tells: its rows, what was paid before and since, credit notes, work under way."""

from datetime import timedelta
from typing import Any

import pytest

from catalog.outbox.models import Outbox
from orders.invoices.models import Invoice
from orders.invoices.payments import payment_reverse
from orders.invoices.selectors import InvoicePage, invoice_page, paid_before, standing_invoice, with_open
from orders.invoices.services import invoice_draft
from tests.factories import BY
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def page_of(invoice: Invoice) -> InvoicePage:
    return invoice_page(with_open(Invoice.objects.all()).get(pk=invoice.pk))


def test_the_page_has_every_row_and_tax_of_the_invoice() -> None:
    invoice = invoice_make(order_make())
    page = page_of(invoice)
    assert {row.kind for row in page.lines} == {"line"}
    assert {row.kind for row in page.charges} == {"charge"}
    assert sorted([*page.lines, *page.charges], key=lambda row: row.position) == list(invoice.lines.all())
    assert page.taxes == list(invoice.taxes.all())
    assert page.sum_lines == sum(row.net_minor for row in page.lines) < invoice.net_minor


def test_money_from_before_the_invoice_and_from_after_it_stand_apart() -> None:
    order, other = order_make(), order_make()
    pay(other, 900)
    second = pay(order, 5_000, received_on=LATER.date())
    first = pay(order, order.deposit_minor, "deposit", received_on=LATER.date() - timedelta(days=9))
    invoice = invoice_make(order, at=LATER + HOUR)
    after = pay(order, 100, at=LATER + 2 * HOUR)
    back = payment_reverse(payment_id=second.pk, note="bounced", by=BY, at=LATER + 3 * HOUR)
    page = page_of(invoice)
    assert page.before == [first, second]
    assert sum(row.amount_minor for row in page.before) == invoice.prepaid_minor
    assert sorted(row.pk for row in page.payments) == [after.pk, back.pk]


def test_money_of_the_same_moment_was_taken_off() -> None:
    order = order_make()
    deposit = pay(order, order.deposit_minor, "deposit")
    assert page_of(invoice_make(order)).before == [deposit]


def test_what_came_in_between_two_invoices_was_taken_off_the_second_alone() -> None:
    order = order_make()
    first = invoice_make(order)
    paid = pay(order, 1_000, at=LATER + HOUR)
    credit(first, at=LATER + 2 * HOUR)
    between = pay(order, 2_000, at=LATER + 3 * HOUR)
    second = invoice_make(order, at=LATER + 4 * HOUR)
    assert (page_of(first).before, page_of(first).payments) == ([], [paid])
    assert (page_of(second).before, second.prepaid_minor) == ([paid, between], 3_000)


def test_a_draft_takes_off_all_that_came_in_so_far_and_a_credit_note_nothing() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    late = pay(order, 700, at=LATER + HOUR)
    assert paid_before(draft) == [late]
    other = order_make()
    pay(other, 700)
    assert paid_before(credit(invoice_make(other))) == []


def test_the_notes_of_an_invoice_are_listed_as_they_were_issued() -> None:
    invoice = invoice_make(order_make())
    credit(invoice_make(order_make()))
    line = invoice.lines.all()[0]
    notes = [credit(invoice, {line.pk: 100}, at=LATER + days * HOUR) for days in (2, 1)]
    assert page_of(invoice).notes == notes


@pytest.mark.parametrize(("over", "credit"), [(-1, 0), (0, 0), (1, 1), (1_500, 1_500)])
def test_the_page_names_what_was_paid_too_much(over: int, credit: int) -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, invoice.due_minor + over)
    assert page_of(invoice).credit == credit


def test_an_invoice_that_is_paid_and_credited_tells_what_the_customer_has_to_their_credit() -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, invoice.due_minor)
    note = credit(invoice, {invoice.lines.all()[0].pk: 2_000}, at=LATER + HOUR)
    assert page_of(invoice).credit == note.total_minor
    pay(order, note.total_minor - 1, "refund", at=LATER + 2 * HOUR)
    assert page_of(invoice).credit == 1


@pytest.mark.parametrize(
    ("status", "listed", "waiting"),
    [("waiting", True, True), ("running", True, True), ("failed", True, False), ("done", False, False)],
)
def test_its_pdf_and_mail_are_under_way_until_they_are_done_or_failed(status: str, listed: bool, waiting: bool) -> None:
    invoice = invoice_make(order_make())
    invoice_make(order_make())
    Outbox.objects.filter(about=f"invoice:{invoice.pk}").update(status=status)
    page = page_of(invoice)
    assert [row.about for row in page.work] == [f"invoice:{invoice.pk}"] * listed
    assert page.waiting is waiting


def test_the_page_takes_the_same_queries_whatever_is_on_it(django_assert_num_queries: Any) -> None:
    order = order_make()
    pay(order, 500)
    invoice = invoice_make(order)
    found = with_open(Invoice.objects.select_related("order")).get(pk=invoice.pk)
    with django_assert_num_queries(6):
        invoice_page(found)
    pay(order, invoice.due_minor)
    paid = with_open(Invoice.objects.select_related("order")).get(pk=invoice.pk)
    with django_assert_num_queries(6):
        invoice_page(paid)
    pay(order, 100)
    credit(invoice, {invoice.lines.all()[0].pk: 100})
    found = with_open(Invoice.objects.select_related("order")).get(pk=invoice.pk)
    with django_assert_num_queries(8):
        invoice_page(found)


def test_the_invoice_that_stands_is_the_last_that_is_not_credited_in_full() -> None:
    order = order_make()
    assert standing_invoice(order) is None
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    assert standing_invoice(order) is None, "a draft does not stand"
    first = invoice_make(order)
    assert (first, standing_invoice(order)) == (draft, first)
    credit(first, {first.lines.all()[0].pk: 100})
    assert standing_invoice(order) == first
    credit(first)
    assert standing_invoice(order) is None
    second = invoice_make(order, at=LATER + HOUR)
    assert standing_invoice(order) == second


def test_an_invoice_of_nothing_stands_too() -> None:
    order = order_make()
    Invoice.objects.create(
        order=order,
        number="I-90000",
        status="paid",
        created_at=LATER,
        issued_at=LATER,
        issued_on=LATER.date(),
        supply_on=LATER.date(),
        currency="USD",
    )
    assert standing_invoice(order) == Invoice.objects.get()
