"""Who is billed is put right before the invoice, without a new approval."""

import pytest
from django.test import Client
from django.urls import reverse

from orders.documents.content import content_read
from orders.invoices.bill_to import bill_to_version
from orders.invoices.bill_to_services import order_bill_to
from orders.invoices.models import Invoice
from orders.invoices.services import invoice_draft
from orders.orders.models import Order
from orders.records.errors import AlreadyInvoiced
from orders.records.models import AuditEntry
from tests.factories import BY, user_make
from tests.integration.orders.amending import amend
from tests.integration.orders.builders import LATER, invoice_make, order_make

pytestmark = pytest.mark.django_db
COMPANY = {"name": "Larkspur Events LLC", "address": "4 Mill Row", "country": "US", "tax_number": "12-3456789"}


def bill_to(order: Order, **facts: str) -> Order:
    version = bill_to_version(Order.objects.get(pk=order.pk))
    return order_bill_to(order_id=order.pk, bill_to=COMPANY | facts, version=version, by=BY, at=LATER)


def test_the_invoice_has_it_and_what_was_approved_stays() -> None:
    order = order_make()
    approved = content_read(order.quote.content)
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    bill_to(order)
    assert not Invoice.objects.filter(pk=draft.pk).exists()
    assert invoice_make(order).buyer["name"] == "Larkspur Events LLC"
    order.quote.refresh_from_db()
    assert content_read(order.quote.content) == approved
    assert AuditEntry.objects.filter(document="order", document_pk=order.pk, event="bill_to").count() == 1
    with pytest.raises(AlreadyInvoiced):
        bill_to(order, name="Somebody else")


def test_a_change_that_is_sent_later_names_who_is_billed_by_then() -> None:
    order = order_make()
    bill_to(order)
    line = content_read(order.quote.content).lines[0]
    changed = amend(order, {line.product: line.units + 12})
    assert content_read(changed.quote.content).customer.name == "Larkspur Events LLC"


def test_the_owner_puts_it_right_on_the_page(client: Client) -> None:
    client.force_login(user_make())
    order = order_make()
    address = reverse("order-bill-to", args=[order.pk])
    assert address in client.get(reverse("order", args=[order.pk])).content.decode()
    page = client.get(address)
    version = page.context["edit"].version
    assert client.post(address, {**COMPANY, "name": "", "version": version}).status_code == 200
    assert client.post(address, {**COMPANY, "version": version}).status_code == 302
    order.refresh_from_db()
    assert order.bill_to == COMPANY
    assert client.post(address, {**COMPANY, "name": "Another", "version": version}).status_code == 409
