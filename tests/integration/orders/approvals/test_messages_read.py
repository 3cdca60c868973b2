"""A customer's message stays on the list of the day until somebody has marked it as read or replied."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.outbox.models import Outbox
from orders.approvals.models import Message
from orders.approvals.services import ApprovalEvidence, messages_mark_read, quote_ask_change, quote_reply
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.states import QuoteStatus
from tests import factories

LATER = factories.NOW + timedelta(hours=3)

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked() -> Quote:
    factories.kitchen_make()
    quote = factories.sent_make()
    assert quote.sent_at is not None
    quote_ask_change(
        quote_id=quote.pk, text="Fewer, please.", evidence=ApprovalEvidence(), at=quote.sent_at + timedelta(hours=1)
    )
    return quote


def test_reading_it_takes_it_off_the_list(asked: Quote) -> None:
    assert messages_mark_read(quote_id=asked.pk, at=LATER) == 1
    assert not Message.objects.filter(seen_at=None).exists()
    assert messages_mark_read(quote_id=asked.pk, at=LATER) == 0


def test_a_revision_is_the_answer_to_it(asked: Quote) -> None:
    quote_revise(quote_id=asked.pk, by="odile", at=LATER)
    assert not Message.objects.filter(seen_at=None).exists()


def test_the_owner_says_so_on_the_quotes_page(asked: Quote, client: Client) -> None:
    client.force_login(factories.user_make())
    assert "I have read this" in client.get(reverse("quote", args=[asked.pk])).content.decode()
    client.post(reverse("quote-messages-seen", args=[asked.pk]))
    assert "I have read this" not in client.get(reverse("quote", args=[asked.pk])).content.decode()


def test_a_wish_for_a_change_reaches_the_kitchen_once_and_a_reply_the_customer() -> None:
    factories.kitchen_make()
    quote = factories.sent_make()
    for _ in range(2):
        quote_ask_change(quote_id=quote.pk, text=" Ten more tarts ", evidence=ApprovalEvidence(), at=LATER)
    assert [message.text for message in quote.messages.all()] == ["Ten more tarts"]
    assert Outbox.objects.filter(payload__mail="kitchen_change").count() == 1

    quote_reply(quote_id=quote.pk, text="Gladly.", by=factories.BY, at=LATER)

    assert not Message.objects.filter(quote=quote, seen_at=None).exists()
    assert Outbox.objects.filter(payload__mail="reply").count() == 1
    quote.refresh_from_db()
    assert quote.status == QuoteStatus.SENT
