"""What the customer's page keeps of the time after the quote: the conversation, documents and payments."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from orders.approvals.messages import approval_held
from orders.approvals.models import Message
from orders.approvals.page_records import conversation
from orders.approvals.services import ApprovalEvidence, quote_ask_change, quote_reply
from orders.invoices.files import invoice_document
from orders.invoices.payments import payment_reverse
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.states import OrderStatus
from tests.factories import NOW, approved_make, kitchen_make, sent_make
from tests.integration.orders.builders import credit, invoice_make, pay
from tests.integration.orders.private_link import entered
from tests.sending import own_read

pytestmark = pytest.mark.django_db
#: After the quote is sent and approved.
LATER = NOW + timedelta(days=30)


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", str(answer.content.decode())))


def ask(quote: Quote, words: str) -> Message:
    return quote_ask_change(quote_id=quote.pk, text=words, evidence=ApprovalEvidence(), at=LATER)


def test_messages_both_ways_stand_in_one_conversation(client: Client) -> None:
    kitchen_make()
    quote = sent_make()
    assert conversation(quote) == ()
    visitor = entered(client, quote)
    assert 'id="conversation"' not in visitor.get(f"/q/{quote.pk}/").content.decode()

    ask(quote, "Could it be ten more tartlets?")
    words = "Yes, we send it changed."
    quote_reply(quote_id=quote.pk, text=words, read=own_read(quote, words), by="odile", at=LATER)
    rows = conversation(quote)
    assert [one.kind for one in rows] == ["sent", "change", "reply"]
    assert [one.by_kitchen for one in rows] == [True, False, True]
    page = text(visitor.get(f"/q/{quote.pk}/"))
    about = page[page.index(" Messages ") :]
    assert about.index("sent the quote") < about.index("ten more tartlets") < about.index("Yes, we send it changed.")
    assert "odile" not in page, "the customer writes with the kitchen, not with an account"


def test_what_the_service_wrote_is_nobodys_message(client: Client) -> None:
    kitchen_make()
    quote = sent_make()
    ask(quote, "Is the garden all right?")
    approval_held(quote_id=quote.pk, name="Ida", words="Wanted to approve.", reasons=(), at=LATER)
    assert [one.text for one in conversation(quote)] == ["", "Is the garden all right?"]


def test_the_approved_page_lists_documents_and_payments(client: Client) -> None:
    kitchen_make()
    quote = approved_make()
    order = Order.objects.get(quote=quote)
    visitor = entered(client, quote)
    assert 'id="documents"' not in visitor.get(f"/q/{quote.pk}/").content.decode()

    pay(order, 5_000, "deposit")
    invoice = invoice_make(order)
    note = credit(invoice)
    page = text(visitor.get(f"/q/{quote.pk}/"))
    assert "You paid $50.00 on " in page
    assert f"Invoice {invoice.number}" in page
    assert f"Credit note {note.number}" in page
    pay(order, 5_000, "refund")
    assert "We paid back $50.00 on " in text(visitor.get(f"/q/{quote.pk}/"))

    address = reverse("quote-page-document-pdf", args=[quote.pk, invoice.pk])
    assert visitor.get(address).status_code == 202, "its PDF is being made"
    invoice_document(invoice_id=invoice.pk, at=LATER)
    answer = visitor.get(address)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Cache-Control"] == "private, no-store"


def test_a_document_of_somebody_else_is_not_there(client: Client) -> None:
    kitchen_make()
    quote, other = approved_make(), approved_make()
    theirs = invoice_make(Order.objects.get(quote=other))
    visitor = entered(client, quote)
    assert visitor.get(reverse("quote-page-document-pdf", args=[quote.pk, theirs.pk])).status_code == 404
    assert visitor.get(reverse("quote-page-document-pdf", args=[other.pk, theirs.pk])).status_code == 404
    assert Client().get(reverse("quote-page-document-pdf", args=[other.pk, theirs.pk])).status_code == 404


def test_a_payment_recorded_by_mistake_is_not_shown(client: Client) -> None:
    kitchen_make()
    quote = approved_make()
    order = Order.objects.get(quote=quote)
    paid = pay(order, 7_700)
    payment_reverse(payment_id=paid.pk, note="of another order", by="odile", at=LATER)
    assert "$77.00 on" not in text(entered(client, quote).get(f"/q/{quote.pk}/"))


def test_no_calendar_is_offered_for_what_was_handed_over(client: Client) -> None:
    kitchen_make()
    quote = approved_make()
    visitor = entered(client, quote)
    assert "Add the day to your calendar" in text(visitor.get(f"/q/{quote.pk}/"))
    Order.objects.filter(quote=quote).update(status=OrderStatus.DELIVERED, delivered_at=LATER)
    assert "Add the day to your calendar" not in text(visitor.get(f"/q/{quote.pk}/"))
