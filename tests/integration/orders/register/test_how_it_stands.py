"""How an invoice stands reads alike in the register, on its own page, on its order's, and in the files."""

import csv
import io

import pytest
from django.urls import reverse

from orders.invoices.models import Invoice
from orders.invoices.presenters import invoice_status
from orders.invoices.selectors import with_open
from orders.invoices.totals import stands
from orders.register.csv_file import csv_pieces, rates_of
from orders.register.selectors import register_rows
from tests.integration.catalog.kitchen_pages import signed_in
from tests.integration.orders.builders import credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db


def in_the_file(invoice: Invoice) -> str:
    """Return the status of an invoice in the CSV file."""
    documents = Invoice.objects.filter(pk=invoice.pk)
    text = b"".join(csv_pieces(documents, rates_of(documents), standing=True)).decode("utf-8-sig")
    return next(csv.DictReader(io.StringIO(text)))["Status"]


def on_the_page(invoice: Invoice) -> str:
    return invoice_status(with_open(Invoice.objects.filter(pk=invoice.pk)).get())


def test_a_deposit_makes_it_partly_paid_everywhere() -> None:
    """Seen: "issued" in one place and "partly paid" in another, of an invoice with a deposit on it."""
    order = order_make()
    pay(order, 5_000, "deposit")
    invoice = invoice_make(order)
    assert on_the_page(invoice).startswith("partly paid")
    assert in_the_file(invoice) == on_the_page(invoice)
    (row,) = register_rows(Invoice.objects.filter(pk=invoice.pk), standing=True)
    assert row.status == "part_paid"


def test_what_was_credited_is_not_paid_in_the_files() -> None:
    order = order_make()
    invoice = invoice_make(order)
    credit(invoice)
    assert on_the_page(invoice) == in_the_file(invoice) == "credited"


def test_the_pages_of_the_invoice_and_the_register_say_the_same() -> None:
    order = order_make()
    pay(order, 5_000, "deposit")
    invoice = invoice_make(order)
    client = signed_in("bookkeeper")
    words = on_the_page(invoice)
    for address in (reverse("invoice", args=[invoice.pk]), reverse("money-register")):
        assert words in client.get(address).content.decode()


@pytest.mark.parametrize(
    ("facts", "found"),
    [
        (("issued", 100, 0, 0, 100, False), ("issued",)),
        (("issued", 100, 0, 0, 100, True), ("issued", "overdue")),
        (("issued", 100, 40, 0, 60, True), ("part_paid", "overdue")),
        (("part_paid", 100, 0, 30, 20, False), ("part_paid", "part_credited")),
        (("paid", 100, 40, 0, 0, True), ("paid",)),
        (("paid", 100, 0, 100, 0, True), ("credited",)),
        (("paid", 0, 0, 0, 0, False), ("paid",)),
    ],
)
def test_one_status_and_what_else_is_so(facts: tuple[str, int, int, int, int, bool], found: tuple[str, ...]) -> None:
    status, total, prepaid, credited, open_, late = facts
    how = {"total_minor": total, "prepaid_minor": prepaid, "credited_minor": credited, "open_minor": open_}
    assert stands(status, overdue=late, **how) == found
