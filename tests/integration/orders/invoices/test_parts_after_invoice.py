"""A balance in several payments: stated, printed, filled in turn, late one by one, and kept by a change."""

from datetime import date, datetime, timedelta
from hashlib import sha256
from typing import Any

import pytest
from django.db import IntegrityError, connection
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from config.backup.damage import SQLITE_HASHES, damaged
from orders.documents.content import canonical, content_read, sha256_of
from orders.invoices.change_services import change_invoice_draft
from orders.invoices.files import pdf_context
from orders.invoices.models import Invoice, InvoicePart
from orders.invoices.payments import payment_reverse
from orders.invoices.receivables import open_invoices, receivables_by_age
from orders.invoices.selectors import billed, with_open
from orders.invoices.services import invoice_issue
from orders.orders.models import Order
from orders.orders.next_step import Do, Roles
from orders.orders.selectors import order_page
from orders.orders.services import order_deliver
from orders.production.day import _owed
from orders.quotes.models import Quote
from orders.records.errors import TermsDisagree
from orders.records.money import minor_units
from orders.register.csv_file import csv_pieces, rates_of
from orders.register.filters import RegisterFilter, register
from orders.reminders.dues import due_of
from tests.factories import BY, EVENT, NOW, draft_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import save_edit
from tests.integration.orders.amending import amend
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.integration.orders.private_link import entered
from tests.refusals import refused
from tests.sending import quote_send_seen
from tests.starting import order_start

pytestmark = pytest.mark.django_db
HALVES: dict[str, Any] = {"payments_after": [{"days": 14, "share": "0.5"}], "balance_days": 45}
ISSUED = LATER.date()
FIRST, LAST = ISSUED + timedelta(days=14), ISSUED + timedelta(days=45)
DAY = timedelta(days=1)


def in_halves() -> tuple[Order, Invoice]:
    """Return an order with its invoice, which is due in two payments."""
    kitchen_make(**HALVES)
    order = order_make()
    return order, invoice_make(order)


def now(invoice: Invoice) -> Any:
    return with_open(Invoice.objects.filter(pk=invoice.pk)).get()


def hexed(value: str | bytes) -> str:
    return sha256_of(value) if isinstance(value, str) else sha256(value).hexdigest()


def at_nine(day: date) -> datetime:
    return datetime.combine(day, datetime.min.time(), EVENT.tzinfo) + timedelta(hours=9)


def test_the_invoice_has_its_payments_as_the_terms_divide_it_and_its_hash_covers_them() -> None:
    order, invoice = in_halves()
    content = content_read(order.quote.content)
    assert order.quote.content_sha256 == sha256_of(canonical(content))
    assert [one.days for one in content.balance_parts] == [14, 45]
    half = -(-invoice.due_minor // 2)
    assert list(invoice.parts.values_list("due_on", "amount_minor")) == [
        (FIRST, half),
        (LAST, invoice.due_minor - half),
    ]
    assert (invoice.due_on, invoice.next_on) == (FIRST, FIRST)
    with pytest.raises(IntegrityError), connection.cursor() as cursor:
        cursor.execute("UPDATE orders_invoicepart SET amount_minor = 1 WHERE invoice_id = %s", [invoice.pk])


@pytest.mark.serverless  # the damage is done, and found, in SQLite's own way
def test_a_payment_that_was_changed_behind_the_program_is_damage() -> None:
    _, invoice = in_halves()

    def query(statement: str) -> list[Any]:
        with connection.cursor() as cursor:
            cursor.execute(statement)
            return list(cursor.fetchall())

    tables = connection.introspection.table_names()
    connection.connection.create_function("sha256_hex", 1, hexed)
    assert damaged(query, tables, SQLITE_HASHES)["invoices"] == []
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'orders_invoicepart'")
        for (name,) in cursor.fetchall():
            cursor.execute(f'DROP TRIGGER "{name}"')
    InvoicePart.objects.filter(invoice=invoice, position=0).update(amount_minor=1)
    assert damaged(query, tables, SQLITE_HASHES)["invoices"] == [invoice.number]


def test_an_invoice_of_one_day_is_as_before() -> None:
    kitchen_make()
    order = order_make()
    assert "payments_after" not in order.quote.content
    invoice = invoice_make(order)
    assert (invoice.parts.count(), invoice.next_on, invoice.due_on) == (0, None, ISSUED + 7 * DAY)


def test_payments_move_the_next_day_on_and_a_reversal_moves_it_back() -> None:
    order, invoice = in_halves()
    first = invoice.parts.get(position=0).amount_minor
    pay(order, first - 1)
    assert now(invoice).pay_on == FIRST
    last_cent = pay(order, 1)
    assert now(invoice).pay_on == LAST
    payment_reverse(payment_id=last_cent.pk, note="Wrong order.", by=BY, at=LATER)
    assert now(invoice).pay_on == FIRST


def test_a_credit_cuts_the_last_payment() -> None:
    order, invoice = in_halves()
    row = invoice.lines.order_by("position")[0]
    note = credit(invoice, {row.pk: row.amount_minor // 4})
    found = billed(order)
    assert found is not None
    first, last = (one.amount_minor for one in invoice.parts.all())
    assert [one.open for one in found.parts] == [first, last - note.total_minor]


@pytest.mark.parametrize(
    ("after", "paid", "ages", "late"),
    [
        (FIRST, 0, (1, 0, 0), 0),
        (FIRST + DAY, 0, (1, 1, 0), 1),
        (LAST, 0, (1, 0, 1), 1),
        (LAST + DAY, 0, (0, 1, 1), 2),
        (FIRST + DAY, 1, (1, 0, 0), 0),
        (LAST + DAY, 1, (0, 1, 0), 1),
    ],
)
def test_late_is_only_what_is_late(after: date, paid: int, ages: tuple[int, ...], late: int) -> None:
    order, invoice = in_halves()
    amounts = [one.amount_minor for one in invoice.parts.all()]
    if paid:
        pay(order, amounts[0])
    found = receivables_by_age(today=after, currency="USD")
    assert tuple(age.documents for age in found[:3]) == ages
    assert sum(minor_units(age.open) for age in found) == sum(amounts[paid:])
    owed, overdue = _owed(after), amounts[paid : paid + late]
    if late == 2:
        overdue = amounts
    assert [one.open for one in owed.overdue] == overdue
    assert (owed.overdue_count, minor_units(owed.overdue_sum)) == (late, sum(overdue))
    shown = register(RegisterFilter(standing="overdue"), today=after)
    assert list(shown) == ([invoice] if late else [])


def test_each_payment_is_reminded_of_by_itself() -> None:
    order, invoice = in_halves()
    first, last = (one.amount_minor for one in invoice.parts.all())
    found = due_of("payment_due", invoice.pk, at=at_nine(FIRST - DAY), day=LAST)
    assert found is not None
    assert (found.day, found.amount_minor) == (LAST, last)
    late = due_of("payment_late", invoice.pk, at=at_nine(FIRST + 5 * DAY), day=FIRST)
    assert late is not None
    assert (late.day, late.amount_minor) == (FIRST, first)
    pay(order, first)
    assert due_of("payment_late", invoice.pk, at=at_nine(FIRST + 5 * DAY), day=FIRST) is None


def test_what_is_due_next_is_the_first_payment_that_is_not_paid() -> None:
    order, invoice = in_halves()
    first, last = (one.amount_minor for one in invoice.parts.all())
    order_start(order_id=order.pk, by=BY, at=LATER)
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    roles = Roles(money=True)
    for day, amount, late in ((FIRST, first, False), (FIRST + DAY, first, True), (LAST, first + last, True)):
        step = order_page(Order.objects.get(pk=order.pk), roles=roles, marks=(), at=at_nine(day)).next
        assert (step.do, step.amount, step.due_on, step.late) == (Do.PAYMENT, amount, FIRST, late)
    pay(order, first)
    step = order_page(Order.objects.get(pk=order.pk), roles=roles, marks=(), at=at_nine(LAST)).next
    assert (step.amount, step.due_on, step.late) == (last, LAST, False)


def test_pages_papers_and_files_name_each_payment(monkeypatch: pytest.MonkeyPatch) -> None:
    order, invoice = in_halves()
    first, last = (f"{one.amount_minor / 100:,.2f}" for one in invoice.parts.all())
    monkeypatch.setattr("django.utils.timezone.now", lambda: at_nine(FIRST + DAY))
    owner = signed_in("owner")
    for address in (reverse("invoice", args=[invoice.pk]), reverse("money-due"), reverse("order", args=[order.pk])):
        words = text(owner.get(address))
        assert f"${first}" in words, address
    printed = " ".join(render_to_string("orders/invoices/pdf.html", pdf_context(now(invoice))).split())
    assert all(part in printed for part in (f"${first}", f"${last}", "Due by", "Amount due"))
    customer = entered(Client(), Quote.objects.get(pk=order.quote_id))
    words = text(customer.get(reverse("quote-page", args=[order.quote_id])))
    assert f"${first} is due by" in words
    assert f"${last} is due by" in words
    rates = rates_of(open_invoices())
    assert FIRST.isoformat() in b"".join(csv_pieces(open_invoices(), rates, standing=True)).decode()
    pay(order, invoice.parts.get(position=0).amount_minor)
    assert LAST.isoformat() in b"".join(csv_pieces(open_invoices(), rates, standing=True)).decode()
    assert FIRST.isoformat() in b"".join(csv_pieces(open_invoices(), rates, standing=False)).decode()


def test_a_further_invoice_follows_the_same_rows() -> None:
    order, _ = in_halves()
    line = order.lines.select_related("product").order_by("position")[0]
    changed = amend(order, {line.product.code: line.units + 12}, at=LATER)
    assert content_read(changed.quote.content).payments_after == content_read(order.quote.content).payments_after
    draft = change_invoice_draft(order_id=order.pk, by=BY, at=LATER + DAY)
    further = invoice_issue(invoice_id=draft.pk, by=BY, at=LATER + DAY)
    assert [one.due_on for one in further.parts.all()] == [FIRST + DAY, LAST + DAY]
    assert sum(one.amount_minor for one in further.parts.all()) == further.due_minor


def test_rows_that_leave_nothing_for_the_last_payment_are_not_sent() -> None:
    kitchen_make(payments_after=[{"days": 3, "amount_minor": 9_000_000}])
    with refused(TermsDisagree, match="so that something is left for the last payment"):
        quote_send_seen(quote_id=draft_make().pk, by=BY, at=NOW)


def test_rows_without_a_balance_are_not_sent() -> None:
    kitchen_make(payments_before=[{"days": 14}], payments_after=[{"days": 3, "share": "0.5"}])
    with refused(TermsDisagree, match="nothing is left to divide after the invoice"):
        quote_send_seen(quote_id=draft_make().pk, by=BY, at=NOW)


def test_the_profiles_day_of_the_balance_is_after_what_divides_it() -> None:
    kitchen_make(**HALVES)
    page = save_edit(signed_in("owner"), reverse("kitchen-profile"), {"balance_days": "14"})
    assert "Enter at least 15 days, or change the payment schedule first." in text(page)
