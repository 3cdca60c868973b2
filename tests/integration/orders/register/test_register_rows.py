"""Each document as the register's row and what the rows add up to, for a bookkeeper who checks them one by one."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from orders.inquiries.models import Customer
from orders.invoices.models import Invoice, InvoiceTax
from orders.invoices.running_sums import issued_counted
from orders.invoices.services import invoice_draft, invoice_issue
from orders.records.money import from_minor, minor_units
from orders.register.filters import RegisterFilter, month_of, not_exported, register
from orders.register.selectors import drafts_waiting, export_work, exports_listed, register_page, register_rows
from orders.register.services import export_make
from orders.register.totals import register_totals
from orders.register.views import Counted
from tests.factories import BY, customer_data
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db
TODAY = LATER.date()
DAY = timedelta(days=1)


def shown(**chosen: Any) -> list[Invoice]:
    return list(register(RegisterFilter(**chosen), today=TODAY))


def issued(order: Any, number: str, **facts: Any) -> Invoice:
    """Write a document as another currency or another law would bring it about."""
    values = {"status": "issued", "created_at": LATER, "issued_at": LATER, "issued_on": TODAY, "supply_on": TODAY}
    document = Invoice.objects.create(order=order, number=number, **{**values, "currency": "USD", **facts})
    issued_counted(document)
    return document


@pytest.mark.parametrize(
    ("day", "first", "last"),
    [
        ("2027-01-01", "2027-01-01", "2027-01-31"),
        ("2027-02-28", "2027-02-01", "2027-02-28"),
        ("2028-02-10", "2028-02-01", "2028-02-29"),
        ("2027-04-30", "2027-04-01", "2027-04-30"),
        ("2027-12-31", "2027-12-01", "2027-12-31"),
    ],
)
def test_a_month_has_its_first_and_last_day(day: str, first: str, last: str) -> None:
    start, end = month_of(LATER.fromisoformat(day).date())
    assert (str(start), str(end)) == (first, last)


def test_a_row_says_what_the_invoice_says() -> None:
    order = order_make(customer=customer_data(tax_number="12-3456789"))
    Customer.objects.filter(pk=order.customer_id).update(name="Ida Ashdown", tax_number="98-7654321")
    pay(order, 5_000, "deposit")
    invoice = invoice_make(order)
    (row,) = register_rows(Invoice.objects.filter(pk=invoice.pk), standing=False)
    assert (row.pk, row.kind, row.number, row.order) == (invoice.pk, "380", "I-00001", order.number)
    assert (row.issued_on, row.supply_on, row.due_on) == (TODAY, invoice.supply_on, invoice.due_on)
    assert None not in (row.supply_on, row.due_on)
    assert (row.customer, row.tax_number) == ("Ida Fenwick", "12-3456789")
    assert (row.credits, row.reason, row.currency) == ("", "", "USD")
    amounts = [minor_units(amount) for amount in (row.net, row.tax, row.total, row.prepaid, row.due)]
    assert amounts == [invoice.net_minor, invoice.tax_minor, invoice.total_minor, 5_000, invoice.total_minor - 5_000]
    assert (row.status, row.open) == ("", None), "an export does not say where a document stands"
    taxes = {key: tuple(minor_units(amount) for amount in pair) for key, pair in row.taxes.items()}
    assert taxes == {
        (tax.tax_name, Decimal(tax.rate)): (tax.taxable_minor, tax.tax_minor) for tax in invoice.taxes.all()
    }


def test_a_row_of_a_credit_note_counts_below_zero_and_names_its_invoice() -> None:
    invoice = invoice_make(order_make())
    note = credit(invoice, {invoice.lines.all()[0].pk: 2_000}, reason="Two tarts.")
    (row,) = register_rows(Invoice.objects.filter(pk=note.pk), standing=True)
    assert (row.kind, row.number, row.credits, row.reason, row.due_on) == (
        "381",
        "C-00001",
        "I-00001",
        "Two tarts.",
        None,
    )
    amounts = [minor_units(amount) for amount in (row.net, row.tax, row.total, row.prepaid, row.due)]
    assert amounts == [-note.net_minor, -note.tax_minor, -note.total_minor, 0, -note.total_minor]
    (tax,) = note.taxes.all()
    assert [minor_units(amount) for pair in row.taxes.values() for amount in pair] == [
        -tax.taxable_minor,
        -tax.tax_minor,
    ]
    assert (row.status, row.open) == ("issued", None)


@pytest.mark.parametrize(("missing", "status"), [(1_000, "part_paid"), (1, "part_paid"), (0, "paid"), (-700, "paid")])
def test_a_row_says_what_is_open_and_never_less_than_nothing(missing: int, status: str) -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, invoice.due_minor - missing)
    (row,) = register_rows(Invoice.objects.filter(pk=invoice.pk), standing=True)
    assert (row.status, row.open) == (status, from_minor(max(missing, 0), "USD"))


def test_two_taxes_of_one_name_and_rate_are_one_pair_of_figures() -> None:
    """A tax may have two codes, such as one for food and one for service, under one name."""
    document = invoice_draft(order_id=order_make().pk, by=BY, at=LATER)
    document.taxes.all().delete()
    for code, rate, taxable, tax in (
        ("food", "0.08", 500, 40),
        ("service", "0.08", 200, 16),
        ("drinks", "0.02", 100, 2),
    ):
        InvoiceTax.objects.create(
            invoice=document, tax_code=code, tax_name="Sales tax", rate=rate, taxable_minor=taxable, tax_minor=tax
        )
    invoice_issue(invoice_id=document.pk, by=BY, at=LATER)
    (row,) = register_rows(Invoice.objects.filter(pk=document.pk), standing=False)
    assert {rate: tuple(map(minor_units, pair)) for (_, rate), pair in row.taxes.items()} == {
        Decimal("0.08"): (700, 56),
        Decimal("0.02"): (100, 2),
    }
    (sums,) = register_totals(RegisterFilter(), today=TODAY)
    found = [(one.name, one.rate, minor_units(one.taxable), minor_units(one.tax)) for one in sums.taxes]
    assert found == [("Sales tax", Decimal("0.02"), 100, 2), ("Sales tax", Decimal("0.08"), 700, 56)]


def test_rows_stand_by_the_day_of_issue_the_oldest_first_and_the_register_the_latest_first() -> None:
    drafts = [invoice_draft(order_id=order_make().pk, by=BY, at=LATER) for _ in range(3)]
    for draft, days in zip(drafts, (2, 0, 1), strict=True):
        invoice_issue(invoice_id=draft.pk, by=BY, at=LATER + days * DAY)
    by_day = [drafts[1].pk, drafts[2].pk, drafts[0].pk]
    assert [row.pk for row in register_rows(Invoice.objects.all(), standing=False)] == by_day
    assert [document.pk for document in shown()] == by_day[::-1]


def test_a_draft_is_in_no_register_and_waits_to_be_issued(django_assert_num_queries: Any) -> None:
    invoice = invoice_make(order_make())
    waiting = [invoice_draft(order_id=order_make().pk, by=BY, at=LATER) for _ in range(2)]
    assert shown() == [invoice]
    assert [sums.invoices for sums in register_totals(RegisterFilter(), today=TODAY)] == [1]
    with django_assert_num_queries(1):
        assert [(draft, bool(draft.order.number)) for draft in drafts_waiting()] == [(draft, True) for draft in waiting]


@pytest.mark.parametrize(("late", "overdue"), [(-1, 0), (0, 0), (1, 1)])
def test_an_invoice_is_overdue_the_day_after_its_last_day(late: int, overdue: int) -> None:
    invoice = invoice_make(order_make())
    credit(invoice, {invoice.lines.all()[0].pk: 100})
    assert invoice.due_on is not None
    chosen = RegisterFilter(standing="overdue")
    assert list(register(chosen, today=invoice.due_on + late * DAY)) == [invoice] * overdue


def test_what_is_open_adds_up_over_what_is_not_paid_alone() -> None:
    """Money paid too much on one invoice pays for no other."""
    over, waiting = order_make(), order_make()
    pay(over, invoice_make(over).due_minor + 700)
    invoice = invoice_make(waiting)
    (sums,) = register_totals(RegisterFilter(), today=TODAY)
    assert (sums.currency, minor_units(sums.open)) == ("USD", invoice.due_minor)
    pay(waiting, invoice.due_minor)
    (sums,) = register_totals(RegisterFilter(), today=TODAY)
    assert sums.open == from_minor(0, "USD")


def test_each_currency_has_its_own_totals() -> None:
    invoice = invoice_make(order_make())
    issued(order_make(), "I-90000", currency="EUR", net_minor=100, total_minor=100, due_minor=100)
    euros, dollars = register_totals(RegisterFilter(), today=TODAY)
    assert (euros.currency, euros.invoices, euros.notes, euros.taxes) == ("EUR", 1, 0, [])
    assert (euros.total, euros.open) == (from_minor(100, "EUR"), from_minor(100, "EUR"))
    assert (dollars.currency, minor_units(dollars.total)) == ("USD", invoice.total_minor)
    assert not_exported()[0].currency == "EUR"
    (row,) = register_rows(Invoice.objects.filter(currency="EUR"), standing=False)
    assert (row.customer, row.tax_number) == ("", ""), "it says nothing of its buyer"


def test_a_page_of_the_register_takes_two_queries_with_all_it_shows(django_assert_num_queries: Any) -> None:
    invoice = invoice_make(order_make())
    note = credit(invoice, {invoice.lines.all()[0].pk: 100})
    with django_assert_num_queries(2):
        rows = [
            (row.order.number, row.credits.number if row.credits else "", row.signed)  # type: ignore[attr-defined]  # annotated
            for row in register_page(register(RegisterFilter(), today=TODAY))
        ]
    number = invoice.order.number
    assert rows == [(number, "I-00001", -note.total_minor), (number, "", invoice.total_minor)]


def test_exports_are_listed_the_latest_first_in_one_query(django_assert_num_queries: Any) -> None:
    for days in (0, 1):
        invoice_make(order_make(), at=LATER + days * DAY)
        export_make(first_day=TODAY, last_day=TODAY + days * DAY, currency="USD", by=BY, at=LATER)
    with django_assert_num_queries(1):
        listed = [(batch.number, batch.csv and batch.csv.file_name) for batch in exports_listed()]
        assert listed == [(2, None), (1, None)], "their files are written afterwards"
    batches = list(exports_listed())
    with django_assert_num_queries(1):
        assert sorted(row.summary for row in export_work(batches).values()) == [
            "Register, export 1",
            "Register, export 2",
        ]


def test_what_is_in_no_export_is_counted_with_its_first_and_last_day() -> None:
    for days in (0, 3, 1):
        invoice_make(order_make(), at=LATER + days * DAY)
    invoice_draft(order_id=order_make().pk, by=BY, at=LATER)
    export_make(first_day=TODAY, last_day=TODAY, currency="USD", by=BY, at=LATER)
    (waiting,) = not_exported()
    assert (waiting.currency, waiting.documents) == ("USD", 2)
    assert (waiting.first, waiting.last) == (TODAY + DAY, TODAY + 3 * DAY)
    (other,) = not_exported("ledger")
    assert (other.documents, other.first) == (3, TODAY)


def test_every_page_has_its_documents_whichever_end_it_is_counted_from() -> None:
    order = order_make()
    for at in range(9):
        issued(order, f"I-9{at:04}", issued_on=TODAY + (at // 2) * DAY, status="paid")
    documents, totals = register(RegisterFilter(), today=TODAY), register_totals(RegisterFilter(), today=TODAY)
    for size in (1, 2, 4, 5, 9, 20):
        pages = Counted(documents, size, totals)
        found = [row.pk for number in pages.page_range for row in pages.page(number)]
        assert found == [row.pk for row in documents], size
    assert Counted(documents, 4, totals).get_page(999).number == 3
