"""What the kitchen writes to a customer whose guests have needs is read as a whole before it goes, whatever it says."""

from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.web.display import kitchen_display
from orders.approvals.models import Message
from orders.approvals.services import quote_reply
from orders.documents.content import content_read
from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.quotes.send.services import quote_revise, quote_withdraw
from orders.quotes.send.to_read import ToRead, to_read
from orders.records.models import AuditEntry
from orders.records.need_errors import OwnTextUnread, TextUnread
from orders.records.states import QuoteStatus
from tests.factories import BY, NOW, draft_make, kitchen_make, sent_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.refusals import refused
from tests.sending import own_read, quote_send_seen, words_read

pytestmark = pytest.mark.django_db
NEEDS: dict[str, Any] = {"allergies": ("gluten", "other:kiwi"), "need_counts": {"gluten": 2, "other:kiwi": 1}}
TRUE_FOR = "What it says about food is true for 2 guests: gluten (celiac); 1 guest: kiwi"
#: No list of words has these.
UNLISTED = [
    "Pas un gramme de bl\u00e9",
    "Kiwi is not used here",
    "Nothing here will upset the kiwi guest",
    "We took out the flour for Ella",
    "swapped to rice flour",
    "The whole table is hers to enjoy",
]


def noted(words: str, **facts: Any) -> Quote:
    quote = draft_make(table=table_make(), **facts)
    Quote.objects.filter(pk=quote.pk).update(note=words)
    return Quote.objects.get(pk=quote.pk)


def own(quote: Quote) -> list[ToRead]:
    found = Quote.objects.get(pk=quote.pk)
    return [one for one in to_read(found, book_current(), kitchen(), None) if one.kind == "own"]


@pytest.mark.parametrize("words", UNLISTED)
def test_a_note_is_read_before_the_quote_goes(owner: Client, words: str) -> None:
    draft = noted(words, **NEEDS)
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    if "Not ready to send." in page:
        return  # refused as a claim
    assert f"Our note: “{words}” {TRUE_FOR}" in page
    others = [mark for mark in words_read(draft.pk) if mark not in {one.mark for one in own(draft)}]
    with pytest.raises(TextUnread):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=others)
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW).status == QuoteStatus.SENT
    assert AuditEntry.objects.get(event="own_words_read").note == words
    assert "own words to the customer read" in text(owner.get(reverse("quote", args=[draft.pk])))


@pytest.mark.parametrize("words", UNLISTED)
def test_a_reply_is_read_before_it_goes(owner: Client, words: str) -> None:
    kitchen_make()
    quote = sent_make(**NEEDS)
    page = text(owner.post(reverse("quote-reply", args=[quote.pk]), {"text": words}))
    assert not Message.objects.exists()
    assert f"Our text: “{words}” {TRUE_FOR}" in page or "is not so" in page


def test_it_is_asked_once_for_a_text_and_a_list() -> None:
    kitchen_make()
    quote, words = sent_make(**NEEDS), "See you at the barn."
    read = own_read(quote, words)
    for others in ("See you at the barn!", words):
        if others == words:
            Inquiry.objects.filter(pk=quote.inquiry_id).update(need_counts={"gluten": 3, "other:kiwi": 1})
        with refused(OwnTextUnread, match="Read your text again"):
            quote_reply(quote_id=quote.pk, text=others, read=read, by=BY, at=NOW)
    Inquiry.objects.filter(pk=quote.inquiry_id).update(need_counts=NEEDS["need_counts"])
    assert quote_reply(quote_id=quote.pk, text=words, read=read, by=BY, at=NOW).text == words


def test_the_reason_of_a_withdrawal_goes_the_same_way() -> None:
    kitchen_make()
    quote = sent_make(**NEEDS)
    with refused(OwnTextUnread, match="Read your text again"):
        quote_withdraw(quote_id=quote.pk, reason="The oven broke.", by=BY, at=NOW)


def test_a_note_that_was_read_for_the_revision_before_is_not_asked_again(small_kitchen: Kitchen) -> None:
    draft = noted("See you at the barn.", **NEEDS)
    quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    again = quote_revise(quote_id=draft.pk, by=BY, at=NOW)
    assert again.note == "See you at the barn."
    check = send_check(quotes_with_rows().get(pk=again.pk), at=NOW)
    assert "own" in [one.kind for one in check.read_before]
    assert "own" not in [one.kind for one in check.to_read]


def test_a_note_about_a_need_is_a_need_and_where_nobody_has_one_nothing_is_asked(small_kitchen: Kitchen) -> None:
    assert own(noted("See you at the barn.", allergies=(), allergy_note="Something green, her son"))
    assert not own(noted("See you at the barn.", allergies=(), asked_none=True))
    assert not own(noted("", **NEEDS))


def test_the_usual_terms_are_not_read_again_and_others_are(small_kitchen: Kitchen) -> None:
    Kitchen.objects.update(cancellation_terms="Half is due.")
    draft = noted("", **NEEDS)
    Quote.objects.filter(pk=draft.pk).update(cancellation_terms="Half is due.")
    assert not own(draft)
    Quote.objects.filter(pk=draft.pk).update(cancellation_terms="Half is due, and the flour is rice.")
    assert [one.what for one in own(draft)] == ["cancellation_terms"]


@pytest.mark.parametrize(
    ("number", "words"), [("231/999/0001", "Tax number 231/999/0001"), ("DE000000000", "VAT ID DE000000000")]
)
def test_a_pdf_calls_only_a_vat_id_one(number: str, words: str) -> None:
    home = kitchen_make(tax_name="VAT", tax_number=number)
    content = content_read(quote_send_seen(quote_id=draft_make().pk, by=BY, at=NOW).content)
    with kitchen_display(home):
        pdf = render_to_string("orders/quotes/send/pdf.html", {"content": content, "kitchen": None, "approval": None})
    assert f" · {words}</p>" in pdf
    assert "VAT number" not in pdf
