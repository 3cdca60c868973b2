"""What the page and the PDF of an invoice, the register and an order say about money, and where."""

import re
from datetime import timedelta

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.taxes.models import TaxCategory
from catalog.web import display
from orders.invoices.files import pdf_context
from orders.invoices.models import Invoice
from orders.invoices.presenters import tax_number_words
from orders.invoices.services import invoice_issue
from orders.orders.cancel_services import Decision, order_cancel_by_terms
from orders.orders.models import Order
from tests.factories import BY, kitchen_make
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Client:
    return signed_in("owner")


@pytest.fixture
def credited() -> Invoice:
    """An invoice with a deposit before it and a credit note after it."""
    order = order_make()
    pay(order, 5_000, "deposit")
    invoice = invoice_make(order, at=LATER + timedelta(hours=1))
    line = invoice.lines.filter(kind="line").first()
    assert line is not None
    credit(invoice, {line.pk: line.amount_minor // 4}, at=LATER + timedelta(hours=2))
    return invoice


def written(minor: int) -> str:
    with display.kitchen_display(Kitchen.objects.get()):
        return display.minor(minor)


def test_the_balance_is_one_figure_and_what_was_invoiced_is_named_so(owner: Client, credited: Invoice) -> None:
    text = page_text(owner.get(reverse("invoice", args=[credited.pk])))
    note = Invoice.objects.get(credits=credited)
    left = written(credited.due_minor - note.total_minor)
    assert text.count(f"Balance due {left}") == 2
    assert f"Amount due as invoiced: {written(credited.due_minor)}" in text
    assert "Amount due $" not in text
    sums = f"Total of the invoice {written(credited.total_minor)} Paid {written(-5_000)} "
    assert f"{sums}Credited {written(-note.total_minor)} Balance due {left}" in text


def test_what_was_due_as_invoiced_is_not_named_once_nothing_is(owner: Client, credited: Invoice) -> None:
    note = Invoice.objects.get(credits=credited)
    pay(credited.order, credited.due_minor - note.total_minor)
    text = page_text(owner.get(reverse("invoice", args=[credited.pk])))
    assert "Balance due $0.00" in text
    assert "as invoiced" not in text


def test_a_credit_note_names_what_comes_next_and_who_can_issue_one(owner: Client, credited: Invoice) -> None:
    note = Invoice.objects.get(credits=credited)
    page = reverse("invoice", args=[note.pk])
    left = credited.due_minor - note.total_minor
    assert f"Next: {written(left)} of the order is still to be paid. Record payment" in page_text(owner.get(page))
    pay(credited.order, left + 700)
    stated = "Next: $7.00 is the customer’s credit. Record it as a refund once it is paid back. Record refund"
    assert stated in page_text(owner.get(page))
    pay(credited.order, 700, "refund")
    assert "Nothing is left to pay or to pay back." in page_text(owner.get(page))
    invoice = reverse("invoice", args=[credited.pk])
    assert "Only an owner" not in page_text(owner.get(invoice))
    assert "Only an owner can issue a credit note." in page_text(signed_in("bookkeeper").get(invoice))


def test_an_order_names_what_was_credited(owner: Client, credited: Invoice) -> None:
    text = page_text(owner.get(reverse("order", args=[credited.order_id])))
    note = Invoice.objects.get(credits=credited)
    assert f"Credited {written(-note.total_minor)} Paid $50.00" in text


def test_amounts_before_tax_stand_once_where_prices_are_net(owner: Client) -> None:
    address = reverse("invoice", args=[invoice_make(order_make()).pk])
    text = owner.get(address).content.decode()
    assert ('data-label="Amount with tax"' in text, 'data-label="Amount"' in text) == (False, False)
    assert 'data-label="Amount before tax"' in text


def test_the_totals_of_the_register_have_their_labels_on_a_phone(owner: Client, credited: Invoice) -> None:
    text = owner.get(reverse("money-register")).content.decode()
    (foot,) = re.findall(r"<tfoot>(.*?)</tfoot>", text, re.DOTALL)
    labels = re.findall(r'<td class="num" data-label="([^"]+)">', foot)
    assert labels == ["Subtotal", "Tax", "Total", "Balance due"]


def test_the_pdf_has_its_number_at_the_foot_and_the_payment_on_a_line_of_its_own(credited: Invoice) -> None:
    with display.kitchen_display(Kitchen.objects.get()):
        html = render_to_string("orders/invoices/pdf.html", {**pdf_context(credited), "marked": False})
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))
    assert f'data-foot="Invoice {credited.number}, ' in html
    assert f" Total {written(credited.total_minor)} Less paid before this invoice {written(-5_000)} " in text


def test_amounts_with_tax_add_up_to_the_total_of_a_gross_invoice() -> None:
    kitchen_make(prices="gross")
    invoice = invoice_make(order_make())
    assert invoice.lines.exclude(kind="line").exists()
    with display.kitchen_display(Kitchen.objects.get()):
        html = render_to_string("orders/invoices/pdf.html", {**pdf_context(invoice), "marked": False})
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", html.partition("<h2>")[2].partition("</table>")[0], re.DOTALL)
    cells = [re.findall(r"<(?:th|td)[^>]*>(.*?)</(?:th|td)>", row, re.DOTALL) for row in rows]
    for line in invoice.lines.exclude(kind="line"):
        (row,) = [row for row in cells if row[0] == line.name]
        assert row[1:] == [written(line.amount_minor), display.percentage(line.percent), written(line.net_minor)]
    assert cells[-1] == ["Total", written(invoice.total_minor), "", written(invoice.total_minor)]
    assert sum(line.amount_minor for line in invoice.lines.all()) == invoice.total_minor


@pytest.mark.parametrize(
    ("tax_name", "number", "words"),
    [
        ("VAT", "DE000000000", "VAT ID DE000000000"),
        ("VAT", "00/000/00000", "Tax number 00/000/00000"),
        ("Sales tax", "NY-12", "Tax number NY-12"),
    ],
)
def test_a_vat_id_is_called_one(tax_name: str, number: str, words: str) -> None:
    with display.use(display.DisplaySettings(tax_name=tax_name)):
        assert tax_number_words(number) == words


def test_the_charge_of_a_canceled_order_says_when_and_by_which_terms_and_speaks_of_no_food(db: None) -> None:
    kitchen_make(cancellation_table=[{"days": 60, "share": "0.5"}])
    order = order_make()
    tax = TaxCategory.objects.earliest("pk").pk
    decision = Decision("customer", "Moved", tax_id=tax, goods=[("Berries", 4000)])
    order_cancel_by_terms(order_id=order.pk, decision=decision, by=BY, at=LATER)
    charge = invoice_issue(invoice_id=Invoice.objects.get().pk, by=BY, at=LATER)
    html = render_to_string("orders/invoices/pdf.html", {**pdf_context(charge), "marked": False})
    for words in ("Canceled on", f"Cancellation charge, order {order.number}", "50% of the total", "Berries: $40.00"):
        assert words in html
    assert "About allergens" not in html
    assert "Items supplied" not in html


def test_traces_are_spoken_of_until_the_desserts_are_there(db: None) -> None:
    invoice = invoice_make(order_make(), at=LATER)
    for there in (False, True):
        if there:
            Order.objects.filter(pk=invoice.order_id).update(status="delivered", delivered_at=LATER)
        html = render_to_string("orders/invoices/pdf.html", {**pdf_context(Invoice.objects.get()), "marked": False})
        assert ("About allergens" in html) is not there
