"""What a customer wrote ends by what somebody states of it, beside the list as it is; no words of ours end it."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from orders.approvals.messages import message_no_need
from orders.approvals.models import Message
from orders.approvals.selectors import NotAnswered, not_answered, waits_for_reply
from orders.approvals.services import ApprovalEvidence, quote_ask_change, quote_decline, quote_reply
from orders.inquiries.models import Inquiry
from orders.quotes.amendments.services import amendment_begin
from orders.quotes.models import Quote
from orders.records.models import AuditEntry
from orders.records.need_errors import ListChanged, NamesReaction, NotCompared
from tests.answering import mark_of, message_answered
from tests.factories import BY, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import forms_of
from tests.integration.orders.builders import order_make
from tests.refusals import refused
from tests.sending import own_read

pytestmark = pytest.mark.django_db
NEEDS = {"gluten": 2, "peanuts": 1}
COMPARED = "I compared it with the list (2 guests: gluten (celiac); 1 guest: peanuts): every guest and every food"


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make(phone="555 0100")
    cache.clear()
    yield
    cache.clear()


def sent(**needs: int) -> Quote:
    return sent_make(allergies=tuple(needs), need_counts=needs, asked_none=not needs)


def write(quote: Quote, words: str, **facts: object) -> Message:
    evidence = ApprovalEvidence()
    return quote_ask_change(quote_id=quote.pk, text=words, evidence=evidence, at=NOW, **facts)  # type: ignore[arg-type]


def press(owner: Client, message: Message, **data: str) -> str:
    address = reverse("quote-message-no-need", args=[message.quote_id])
    return text(owner.post(address, {"message": message.pk, **data}, follow=True))


def ended(message: Message) -> bool:
    return Message.objects.get(pk=message.pk).seen_at is not None


@pytest.mark.parametrize(
    "words",
    ["Dad's face balloons", "half a dozen of us avoid hazelnut", "Ingen nødder", "go up by one", "Jonas is as Ella is"],
)
def test_a_message_is_in_the_list_once_somebody_has_compared_it_with_the_list(words: str) -> None:
    quote, owner = sent(**NEEDS, hazelnuts=6), signed_in()
    message = write(quote, words)
    page = text(owner.get(reverse("quote", args=[quote.pk])))
    assert "1 guest: peanuts; 6 guests: hazelnuts): every guest and every food it speaks of is counted there." in page
    assert "Mark as read" not in page
    page = press(owner, message, what="recorded")
    assert "Compare the message with the list of allergies and diets, and check the box that you have." in page
    assert not ended(message)
    page = press(owner, message, what="recorded", compared=mark_of(message))
    assert f"“{words}”; the list was: 2 guests: gluten (celiac); 1 guest: peanuts; 6 guests: hazelnuts" in page
    assert ended(message)


def test_of_an_empty_list_nobody_says_that_it_has_it_and_one_click_says_that_it_names_nothing() -> None:
    quote, owner = sent(), signed_in()
    message = write(quote, "We moved the table to the barn.")
    page = text(owner.get(reverse("inquiry", args=[quote.inquiry_id])))
    assert "Already in the list" not in page
    assert "Nothing about allergies or diets" in page
    page = press(owner, message, what="none")
    assert "“We moved the table to the barn.”; the list was: empty" in page
    assert ended(message)


def test_a_note_alone_is_a_list_and_stands_in_the_sentence() -> None:
    quote = sent_make(allergies=(), allergy_note="Something green, her son")
    write(quote, "Her son knows you.")
    page = text(signed_in().get(reverse("quote", args=[quote.pk])))
    assert "I compared it with the list (notes: “Something green, her son”)" in page


def test_a_list_that_changed_since_the_page_was_opened_is_compared_again() -> None:
    quote = sent(**NEEDS)
    message, before = write(quote, "go up by one"), mark_of(quote.messages.get())
    facts = {"quote_id": quote.pk, "message_id": message.pk, "by": BY, "at": NOW, "recorded": True}
    with refused(NotCompared, match="Compare the message with the list"):
        message_no_need(**facts)  # type: ignore[arg-type]
    Inquiry.objects.filter(pk=quote.inquiry_id).update(need_counts={"gluten": 3, "peanuts": 1})
    with refused(ListChanged, match="changed after you opened the page"):
        message_no_need(**facts, compared=before)  # type: ignore[arg-type]
    Inquiry.objects.filter(pk=quote.inquiry_id).update(need_counts=NEEDS, allergy_note="and one more")
    with refused(ListChanged, match="changed after you opened the page"):
        message_no_need(**facts, compared=before)  # type: ignore[arg-type]
    message_no_need(**facts, compared=mark_of(message))  # type: ignore[arg-type]
    assert ended(message)


LYCHEES = "Lychees put Oona in hospital"


def test_a_reaction_to_what_the_list_does_not_have_is_not_in_the_list() -> None:
    message = write(sent(**NEEDS), LYCHEES)
    for how in ({"recorded": True}, {}):
        with refused(NamesReaction, match="speaks of a reaction"):
            message_answered(message, **how)
    page = text(signed_in().get(reverse("quote", args=[message.quote_id])))
    assert "The reaction is not that of a guest of this event" in page
    message_answered(message, recorded=True, no_guest=True)
    assert ended(message)


@pytest.mark.parametrize(
    "known", [{"allergies": ["peanuts", "other:lychee"]}, {"allergy_note": "Oona at table 3: lychee"}]
)
def test_unless_a_need_or_the_note_has_it(known: dict[str, object]) -> None:
    message = write(sent(**NEEDS), "Lychees put her in hospital")
    Inquiry.objects.filter(pk=message.quote.inquiry_id).update(**known)
    message_answered(message, recorded=True)
    assert ended(message)


def test_a_reason_for_a_decline_ends_by_a_statement_too() -> None:
    quote = sent(**NEEDS)
    reason = "Half a dozen of us would have to sit it out."
    quote_decline(quote_id=quote.pk, reason=reason, evidence=ApprovalEvidence(), at=NOW)
    message, owner = quote.messages.get(), signed_in()
    assert COMPARED in text(owner.get(reverse("quote", args=[quote.pk])))
    owner.post(reverse("quote-messages-seen", args=[quote.pk]), {"message": message.pk})
    assert not ended(message)
    message_answered(message)
    assert ended(message)


def test_a_reply_alone_ends_no_message_and_no_warning() -> None:
    quote = sent(**NEEDS)
    message, other = write(quote, "Could it be at five?"), write(quote, "Dad's lips swell up from the green ones.")
    words = "At five, with pleasure."
    quote_reply(quote_id=quote.pk, text=words, read=own_read(quote, words), by=BY, at=NOW)
    assert not ended(message)
    assert not_answered(quote, waits_for_reply(quote)) == NotAnswered.REPLIED, "a reply says nothing of the list"
    quote_reply(quote_id=quote.pk, text=words, read=own_read(quote, words), by=BY, at=NOW, nothing_named=True)
    assert ended(message)
    assert not ended(other), "a reaction is recognized in it"
    entries = AuditEntry.objects.filter(document="quote", event__contains="message")
    assert [(one.event, one.params["message"]) for one in entries] == [
        ("message_replied", message.pk),
        ("message_replied", other.pk),
        ("no_need_in_message", message.pk),
        ("message_replied", other.pk),
    ]


def test_what_was_checked_beside_a_reply_stays_while_its_text_is_read() -> None:
    quote = sent(**NEEDS)
    message = write(quote, "Could it be at five?")
    address, data = reverse("quote-reply", args=[quote.pk]), {"message": message.pk, "nothing_named": "on"}
    page = signed_in().post(address, {**data, "text": "At five."})
    form = next(one for one in forms_of(page) if "text" in one.fields)
    assert form.fields["nothing_named"] == ["on"]
    assert not ended(message)


@pytest.mark.parametrize(
    ("words", "ends"), [("", True), ("\nमेरे भाई को मूंगफली से एलर्जी है", False), ("\nNut free for Oona.", False)]
)
def test_a_change_that_is_started_answers_only_what_says_nothing_else(words: str, *, ends: bool) -> None:
    order = order_make(allergies=tuple(NEEDS), need_counts=NEEDS)
    message = write(order.quote, f"Guests: 90 instead of 80.{words}", wants={"units": {}, "guests": 90})
    amendment_begin(order_id=order.pk, by=BY, at=NOW, message_id=message.pk)
    assert ended(message) == ends


def test_a_second_answer_changes_nothing() -> None:
    message = write(sent(), "We moved the table to the barn.")
    message_answered(message)
    message_answered(message)
    assert AuditEntry.objects.filter(event="no_need_in_message").count() == 1
