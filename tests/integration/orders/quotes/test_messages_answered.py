"""That a message is answered by the list, or names no need, is held to what is recognized in it and to the list."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from orders.approvals.messages import messages_mark_read
from orders.approvals.models import Message
from orders.approvals.services import (
    ApprovalEvidence,
    quote_approve,
    quote_ask_change,
)
from orders.inquiries.models import Inquiry
from orders.quotes.draft.message_needs import messages_open
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.models import AuditEntry
from orders.records.need_errors import ListEmpty, MessageUnanswered, NamesNeeds, NeedsNotInList
from tests.answering import message_answered
from tests.factories import BY, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make(phone="555 0100")
    cache.clear()
    yield
    cache.clear()


def write(quote: Quote, words: str) -> Message:
    return quote_ask_change(quote_id=quote.pk, text=words, evidence=ApprovalEvidence(), at=NOW)


def listed(quote: Quote, **counts: int) -> None:
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=list(counts), need_counts=counts)


def answered(message: Message, **how: bool) -> None:
    message_answered(message, **how)


def press(owner: Client, message: Message, **data: str) -> tuple[str, str]:
    page = owner.post(
        reverse("quote-message-no-need", args=[message.quote_id]), {"message": message.pk, **data}, follow=True
    )
    return text(page), page.content.decode()


def still_open(quote: Quote) -> bool:
    inquiry = Inquiry.objects.get(pk=quote.inquiry_id)
    return bool(messages_open([inquiry]))


def test_a_need_in_the_name_of_an_approval_is_not_in_the_list_because_somebody_says_so() -> None:
    sent = sent_make(allergies=("gluten", "peanuts"), need_counts={"gluten": 1, "peanuts": 1})
    quote_approve(
        quote_id=sent.pk, content_sha256=sent.content_sha256, name="Ida Sesam", evidence=ApprovalEvidence(), at=NOW
    )
    owner, message = signed_in(), Message.objects.get()
    words, page = press(owner, message, what="recorded")
    assert "or for fewer guests: sesame. Add it to the list." in words
    assert f'<a href="{reverse("inquiry-edit", args=[sent.inquiry_id])}?needs=note#id_allergies">' in page
    assert "are in the list." not in words
    assert still_open(sent)


@pytest.mark.parametrize(
    ("words", "needs"),
    [
        ("Also two of us coeliac and one w/ latex-fruit trouble", {"gluten": 2, "other:latex": 1}),
        ("my aunt always swells up from filberts. And Jo: kein Soja bitte", {"hazelnuts": 1, "soybeans": None}),
    ],
)
def test_what_is_recognized_in_a_message_has_to_be_in_the_list(words: str, needs: dict[str, int | None]) -> None:
    sent = sent_make(allergies=(), asked_none=True)
    message = write(sent, words)
    for how, refusal in (({"recorded": True}, NeedsNotInList), ({}, NamesNeeds)):
        with refused(refusal, match="allergies and diets") as found:
            answered(message, **how)
        assert found.value.params["needs"] == needs
    assert not AuditEntry.objects.filter(event__in=("message_recorded", "no_need_in_message")).exists()


def test_with_at_least_the_number_that_the_message_names() -> None:
    sent = sent_make(allergies=("sesame",), need_counts={"sesame": 2})
    message = write(sent, "3 guests can't have sesame")
    with refused(NeedsNotInList, match="3 guests: sesame"):
        answered(message, recorded=True)
    listed(sent, sesame=4)
    answered(message, recorded=True)
    assert not still_open(sent)


def test_an_empty_list_answers_nothing() -> None:
    sent = sent_make(allergies=(), asked_none=True)
    message = write(sent, "My son is allergic to something green.")
    with refused(ListEmpty, match="No allergy or diet is in the list yet"):
        answered(message, recorded=True)
    Inquiry.objects.filter(pk=sent.inquiry_id).update(allergy_note="Something green, one guest")
    answered(message, recorded=True)


def test_that_a_need_is_no_guests_takes_a_tick_and_is_in_the_history() -> None:
    sent = sent_make(allergies=(), asked_none=True)
    message, owner = write(sent, "My aunt, who is not coming, can't eat walnuts."), signed_in()
    words, _ = press(owner, message, what="none")
    assert "The message names what is not in the list of allergies and diets: walnuts." in words
    assert "It is not about a guest of this event: walnuts" in words
    words, _ = press(owner, message, what="none", no_guest="1")
    assert "not about a guest of this event: walnuts" in words
    assert not still_open(sent)


def test_a_need_that_is_lost_from_the_list_is_asked_about_again_before_a_revision_goes() -> None:
    sent = sent_make(allergies=("sesame", "milk"), need_counts={"sesame": 3, "milk": 1})
    message = write(sent, "3 guests in all can't have sesame")
    answered(message, recorded=True)
    draft = quote_revise(quote_id=sent.pk, by=BY, at=NOW)
    listed(sent, milk=1)
    with refused(MessageUnanswered, match="sesame"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    listed(sent, milk=1, sesame=3)
    quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)


def test_a_problem_with_a_food_is_asked_about_and_not_only_read() -> None:
    sent = sent_make(allergies=(), asked_none=True)
    write(sent, "By the way mum has the thing with bread, you know.")
    page = text(signed_in().get(reverse("quote", args=[sent.pk])))
    assert "A message may name what a guest cannot eat." in page
    messages_mark_read(quote_id=sent.pk, at=NOW)
    assert still_open(sent)


def test_what_is_recognized_takes_a_tick_also_where_the_list_has_it() -> None:
    sent = sent_make(allergies=("hazelnuts", "wheat"), need_counts={"hazelnuts": 1, "wheat": 1})
    message, owner = (
        write(sent, "Kasia reagiert auf Haseln\u00fcsse, und Opa vertr\u00e4gt keinen Weizen."),
        signed_in(),
    )
    assert "Nobody is to be added: the list counts them already" in text(owner.get(reverse("quote", args=[sent.pk])))
    words, _ = press(owner, message, what="none")
    assert "or check the box that nobody is to be added." in words
    assert Message.objects.get(pk=message.pk).seen_at is None
    press(owner, message, what="none", no_guest="1")
    assert not still_open(sent)
