"""Reasons that the customer reads, and cancellation terms, meet the net of replies: what may say "fine" is read."""

import re

import pytest
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen
from orders.invoices.credit_notes import credit_note_issue
from orders.invoices.models import Invoice
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from orders.quotes.send.to_read import to_read
from orders.records.need_errors import OwnTextUnread
from orders.records.states import QuoteStatus
from tests.factories import BY, NOW, draft_make, kitchen_make, line_make, sent_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import LATER, invoice_make, order_make
from tests.refusals import refused

pytestmark = pytest.mark.django_db
#: It claims nothing by the words that are sure, and means that the guest may eat it.
WORDS = "The new cake will be perfect for her too."


@pytest.fixture(autouse=True)
def made() -> None:
    kitchen_make()


def walnut_for_nobody() -> dict[str, object]:
    return {"allergies": ("walnuts",), "table": table_make(lines=(line_make("walnut-cake", 1),), extras=())}


def test_a_withdrawal_asks_about_its_reason_and_goes_once_it_is_read() -> None:
    quote = sent_make(**walnut_for_nobody())  # type: ignore[arg-type]
    with refused(OwnTextUnread, match="Read your text again"):
        quote_withdraw(quote_id=quote.pk, reason=WORDS, by=BY, at=NOW)
    owner, address = signed_in("owner"), reverse("quote-withdraw", args=[quote.pk])
    answer = owner.post(address, {"reason": WORDS})
    assert "What it says about food is true for walnuts" in text(answer)
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.SENT
    marks = re.findall(r'name="read" value="([^"]+)"', answer.content.decode())
    owner.post(address, {"reason": WORDS, "read": marks})
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.WITHDRAWN


def test_a_plain_reason_goes_at_once_where_no_guest_has_a_need() -> None:
    quote = sent_make(allergies=())
    quote_withdraw(quote_id=quote.pk, reason="The oven is out of order that week.", by=BY, at=NOW)
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.WITHDRAWN


def test_a_credit_note_asks_about_its_reason() -> None:
    invoice = invoice_make(order_make(**walnut_for_nobody()))  # type: ignore[arg-type]
    with refused(OwnTextUnread, match="Read your text again"):
        credit_note_issue(invoice_id=invoice.pk, reason=WORDS, idempotency_key="a", by=BY, at=LATER)
    owner, address = signed_in("owner"), reverse("invoice-credit", args=[invoice.pk])
    facts = {"how": "all", "reason": WORDS, "idempotency_key": "b"}
    answer = owner.post(address, facts)
    assert "What it says about food is true for walnuts" in text(answer)
    marks = re.findall(r'name="read" value="([^"]+)"', answer.content.decode())
    review = owner.post(address, {**facts, "read": marks})
    assert "Not issued yet." in text(review)
    hidden = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', review.content.decode())
    assert ("read", marks[0]) in hidden
    read = [value for name, value in hidden if name == "read"]
    owner.post(address, {**dict(hidden), "read": read, "do": "issue"})
    assert Invoice.objects.filter(kind=Invoice.Kind.CREDIT_NOTE).count() == 1


def test_cancellation_terms_are_read_before_the_quote_goes() -> None:
    quote = draft_make(**walnut_for_nobody())  # type: ignore[arg-type]
    Quote.objects.filter(pk=quote.pk).update(cancellation_terms=WORDS)
    quote = Quote.objects.get(pk=quote.pk)
    found = [one for one in to_read(quote, book_current(), kitchen(), None) if one.what == "cancellation_terms"]
    assert [one.text for one in found] == [WORDS]
