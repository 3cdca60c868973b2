"""Inquiries, quotes, money and refusals of a kitchen in Britain read British English; of one in the States, US."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.web.display import DisplaySettings, use
from orders.invoices.mails import invoice_mail, invoice_mail_ask
from orders.invoices.models import Payment
from orders.quotes.models import Quote
from orders.records.errors import CanceledOrder
from orders.records.presenters import sentence, status_words
from orders.register.filters import RegisterFilter
from orders.register.presenters import filter_sentence
from tests.factories import NOW
from tests.integration.orders.builders import invoice_make, order_make

pytestmark = pytest.mark.django_db

PAGES = [
    ("inquiries", ("Inquiries", "New inquiry"), ("Enquiries", "New enquiry")),
    ("inquiry-new", ("New inquiry",), ("New enquiry",)),
    ("customers", ("Customers", ">Catalog<"), ("Customers", ">Catalogue<")),
    ("customer", ("Inquiries, latest event first",), ("Enquiries, latest event first",)),
    ("customer-personal-data", ("In other inquiries:",), ("In other enquiries:",)),
    ("quote-price-check", (">Labor<", "labor per load"), (">Labour<", "labour per load")),
    ("repriced", ("recalculated with the catalog",), ("recalculated with the catalogue",)),
    ("order-pay", ("Record payment", ">check<"), ("Record payment", ">cheque<")),
    ("money-register", ("Control totals", ">Catalog<"), ("Control totals", ">Catalogue<")),
    ("money-due", ("Balance due by age", ">Catalog<"), ("Balance due by age", ">Catalogue<")),
    ("mail", ("E-mails", ">Catalog<"), ("E-mails", ">Catalogue<")),
]


@pytest.mark.parametrize("name", [page[0] for page in PAGES])
def test_a_page_is_written_in_the_kitchens_english(owner: Client, quote: Quote, name: str) -> None:
    order = order_make()
    invoice_make(order)
    keys = {"customer": order.customer_id, "customer-personal-data": order.customer_id, "order-pay": order.pk}
    keys |= {"quote-price-check": quote.pk}
    address = reverse(name, args=[keys[name]] if name in keys else [])
    _, american, british = next(page for page in PAGES if page[0] == name)
    for locale, lang, words in (("en_US", "en-US", american), ("en_GB", "en-GB", british)):
        Kitchen.objects.update(locale=locale)
        text = owner.get(address).content.decode()
        assert f'<html lang="{lang}">' in text
        assert [word for word in words if word not in text] == []


def test_the_mail_of_an_invoice_is_in_the_kitchens_english(quote: Quote) -> None:
    invoice = invoice_make(order_make())
    invoice_mail_ask(invoice, at=NOW)
    with use(DisplaySettings(locale="en_GB")):
        row = Outbox.objects.get(kind="invoice_mail", about=f"invoice:{invoice.pk}")
        mail = invoice_mail(row, Kitchen.objects.get(), NOW)
    assert mail.subject.startswith(f"Invoice {invoice.number} from ")


def test_refusals_statuses_and_methods_are_spelled_by_the_kitchen() -> None:
    with use(DisplaySettings(locale="en_US")):
        assert "is canceled" in sentence(CanceledOrder(order="O-00001"))
        assert (status_words("canceled"), str(Payment.Method.CHEQUE.label)) == ("canceled", "check")
    with use(DisplaySettings(locale="en_GB")):
        assert "is cancelled" in sentence(CanceledOrder(order="O-00001"))
        assert (status_words("canceled"), str(Payment.Method.CHEQUE.label)) == ("cancelled", "cheque")
        assert filter_sentence(RegisterFilter(kind="381", exported="no")) == "Credit notes, not exported yet"
