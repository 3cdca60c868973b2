"""A customer's message stays on the list of the day until somebody states what it says of allergies and diets."""

from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.outbox.models import Outbox
from orders.approvals.messages import MESSAGES_A_DAY, NEEDS_A_DAY, messages_mark_read
from orders.approvals.models import Message
from orders.approvals.services import (
    A_DAY,
    ApprovalEvidence,
    quote_approve,
    quote_ask_change,
    quote_decline,
    quote_reply,
)
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.errors import MessageMissing, TooManyMessages
from orders.records.states import QuoteStatus
from tests import factories
from tests.answering import message_answered
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.sending import own_read, quote_send_seen

LATER = factories.NOW + timedelta(hours=3)

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked() -> Quote:
    factories.kitchen_make()
    quote = factories.sent_make(allergies=())
    assert quote.sent_at is not None
    quote_ask_change(
        quote_id=quote.pk, text="Fewer, please.", evidence=ApprovalEvidence(), at=quote.sent_at + timedelta(hours=1)
    )
    return quote


def test_reading_it_is_no_answer_and_a_statement_takes_it_off_the_list(asked: Quote) -> None:
    assert messages_mark_read(quote_id=asked.pk, at=LATER) == 0
    message_answered(Message.objects.get(), at=LATER)
    assert not Message.objects.filter(seen_at=None).exists()


def test_what_has_no_words_is_only_read(asked: Quote) -> None:
    other = factories.sent_make()
    quote_decline(quote_id=other.pk, reason="", evidence=ApprovalEvidence(), at=LATER)
    assert messages_mark_read(quote_id=other.pk, at=LATER) == 1
    assert messages_mark_read(quote_id=other.pk, at=LATER) == 0
    assert Message.objects.get(seen_at=None).quote == asked


def test_answering_one_quotes_messages_leaves_the_others(asked: Quote) -> None:
    other = factories.sent_make()
    quote_ask_change(quote_id=other.pk, text="A ramp, please.", evidence=ApprovalEvidence(), at=LATER)
    message_answered(asked.messages.get(), at=LATER)
    assert list(Message.objects.filter(seen_at=None).values_list("quote", flat=True)) == [other.pk]


def test_a_wish_and_its_reply_are_kept_in_their_words_with_who_said_them_and_when(asked: Quote) -> None:
    (wish,) = Message.objects.all()
    assert (wish.kind, wish.text, wish.by, wish.seen_at) == ("change", "Fewer, please.", "Ida Fenwick", None)
    assert Outbox.objects.get(payload__mail="kitchen_change").payload["words"] == "Fewer, please."
    reply = quote_reply(
        quote_id=asked.pk, text=" Gladly. ", read=own_read(asked, "Gladly."), by="maren", at=LATER, nothing_named=True
    )
    reply.refresh_from_db()
    assert (reply.quote, reply.kind, reply.text, reply.by) == (asked, "reply", "Gladly.", "maren")
    assert (reply.at, reply.seen_at) == (LATER, LATER)
    wish.refresh_from_db()
    assert wish.seen_at == LATER
    assert Outbox.objects.get(payload__mail="reply").payload["words"] == "Gladly."


@pytest.mark.parametrize("text", ["", "  ", "\n"])
def test_nothing_said_is_no_message(asked: Quote, text: str) -> None:
    with pytest.raises(MessageMissing):
        quote_ask_change(quote_id=asked.pk, text=text, evidence=ApprovalEvidence(), at=LATER)
    with pytest.raises(MessageMissing):
        quote_reply(quote_id=asked.pk, text=text, by="maren", at=LATER)
    assert Message.objects.count() == 1


def test_the_kitchen_gets_so_many_wishes_a_day_of_one_quote_and_no_more(asked: Quote) -> None:
    """Replies are not counted, and a day later there is room again."""

    def wish(text: str, at: datetime) -> Message:
        return quote_ask_change(quote_id=asked.pk, text=text, evidence=ApprovalEvidence(), at=at)

    start = LATER + timedelta(days=2)
    quote_reply(quote_id=asked.pk, text="Gladly.", read=own_read(asked, "Gladly."), by="maren", at=start)
    for count in range(MESSAGES_A_DAY):
        wish(f"wish {count}", start)
    with pytest.raises(TooManyMessages) as refusal:
        wish("one more", start + A_DAY - timedelta(seconds=1))
    assert refusal.value.params == {"count": MESSAGES_A_DAY}
    assert wish(f"wish {MESSAGES_A_DAY - 1}", start + timedelta(hours=1)).text == f"wish {MESSAGES_A_DAY - 1}"
    assert wish("one more", start + A_DAY).pk


@pytest.mark.parametrize("words", ["Table {n}: my niece is allergic to kiwi", "{n} more are coeliac", "And {n} too"])
def test_what_may_be_an_allergy_is_taken_longer(asked: Quote, words: str) -> None:
    def wish(text: str) -> Message:
        return quote_ask_change(quote_id=asked.pk, text=text, evidence=ApprovalEvidence(), at=LATER + timedelta(days=2))

    for count in range(MESSAGES_A_DAY):
        wish(f"wish {count}")
    with pytest.raises(TooManyMessages):
        wish("Could we have the tables in a row?")
    last = [wish(words.format(n=at)) for at in range(NEEDS_A_DAY - MESSAGES_A_DAY)][-1]
    assert last.text.strip()
    assert Message.objects.filter(pk=last.pk).exists()
    with pytest.raises(TooManyMessages):
        wish("No nuts for my sister")


def test_a_revision_is_the_answer_to_it(asked: Quote) -> None:
    draft = quote_revise(quote_id=asked.pk, by="odile", at=LATER)
    assert Message.objects.filter(seen_at=None).exists(), "nobody has read it yet"
    quote_send_seen(quote_id=draft.pk, by="odile", at=LATER)
    assert not Message.objects.filter(seen_at=None).exists()


def test_the_owner_says_so_on_the_quotes_page(asked: Quote, client: Client) -> None:
    client.force_login(factories.user_make())
    assert "Nothing about allergies or diets" in client.get(reverse("quote", args=[asked.pk])).content.decode()
    client.post(
        reverse("quote-message-no-need", args=[asked.pk]), {"message": [Message.objects.get().pk], "what": "none"}
    )
    assert "Nothing about allergies or diets" not in client.get(reverse("quote", args=[asked.pk])).content.decode()


def test_a_reply_marks_what_its_page_showed_and_nothing_else(asked: Quote, client: Client) -> None:
    client.force_login(factories.user_make())
    shown = Message.objects.get()
    page = client.get(reverse("quote", args=[asked.pk])).content.decode()
    assert f'name="message" value="{shown.pk}"' in page.partition(reverse("quote-reply", args=[asked.pk]))[2]
    late = quote_ask_change(quote_id=asked.pk, text="And her sister.", evidence=ApprovalEvidence(), at=LATER)
    reply = {"text": "Gladly.", "read": own_read(asked, "Gladly."), "message": [shown.pk], "nothing_named": "1"}
    client.post(reverse("quote-reply", args=[asked.pk]), reply)
    assert list(Message.objects.filter(seen_at=None)) == [late]


def test_a_wish_for_a_change_reaches_the_kitchen_once_and_a_reply_the_customer() -> None:
    factories.kitchen_make()
    quote = factories.sent_make(allergies=())
    for _ in range(2):
        quote_ask_change(quote_id=quote.pk, text=" Ten more tarts ", evidence=ApprovalEvidence(), at=LATER)
    assert [message.text for message in quote.messages.all()] == ["Ten more tarts"]
    assert Outbox.objects.filter(payload__mail="kitchen_change").count() == 1

    read = own_read(quote, "Gladly.")
    quote_reply(quote_id=quote.pk, text="Gladly.", read=read, by=factories.BY, at=LATER, nothing_named=True)

    assert not Message.objects.filter(quote=quote, seen_at=None).exists()
    assert Outbox.objects.filter(payload__mail="reply").count() == 1
    quote.refresh_from_db()
    assert quote.status == QuoteStatus.SENT


class TestTheNameAtTheApproval:
    """What is written where the name stands is read as messages are."""

    def approved(self, name: str) -> Quote:
        factories.kitchen_make()
        quote = factories.sent_make(allergies=())
        evidence = ApprovalEvidence()
        quote_approve(
            quote_id=quote.pk, content_sha256=quote.content_sha256, name=name, evidence=evidence, at=factories.NOW
        )
        return Quote.objects.get(pk=quote.pk)

    def test_more_than_a_name_stands_on_the_order_and_goes_out_by_mail(self) -> None:
        quote = self.approved(name := "Ida Fenwick - Mia like last year")
        assert quote.status == QuoteStatus.APPROVED
        assert name in text(signed_in().get(reverse("order", args=[quote.order.pk])))
        assert Outbox.objects.filter(kind="mail", payload__mail="kitchen_change", payload__words=name).count() == 1

    def test_the_name_on_record_alone_is_no_message(self) -> None:
        assert not self.approved("Ida Fenwick").messages.exists()
