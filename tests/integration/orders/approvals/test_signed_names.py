"""Whatever a customer writes where they sign, beyond a name, waits for somebody's statement."""

import pytest
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from orders.approvals.models import Approval, Message
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.need_errors import NeedInReason
from tests.factories import BY, NOW, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def approve(quote: Quote, name: str) -> Approval:
    facts = {"content_sha256": quote.content_sha256, "evidence": ApprovalEvidence(), "at": NOW}
    return quote_approve(quote_id=quote.pk, name=name, **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "signed",
    [
        "Ida Fenwick, ingen jordnötter tack",
        "Ida Fenwick, bez arašídů",
        "Ida Fenwick मूंगफली नहीं",
        "Ida Fenwick and please nothing with the pink stuff for Ada",
        "Ida Fenwick - Mia like last year!!",
        "Rosemary Berry",
        "Maria del Carmen de la Cruz Ortiz",
    ],
)
def test_what_says_more_than_a_name_is_a_message_that_waits(small_kitchen: Kitchen, signed: str) -> None:
    quote = sent_make(allergies=(), asked_none=True)
    approve(quote, signed)
    message = Message.objects.get()
    assert (message.kind, message.text, message.seen_at) == (Message.Kind.CHANGE, signed, None)
    page = text(signed_in().get(reverse("order", args=[Order.objects.get().pk])))
    assert "New message, not answered yet." in page
    assert "Nothing about allergies or diets" in page


@pytest.mark.parametrize("signed", ["Emma Has A Peanut Allergy", "Bitte Ohne Nuss Fuer Oma"])
def test_a_name_with_a_word_of_food_approves_and_waits(small_kitchen: Kitchen, signed: str) -> None:
    approve(sent_make(allergies=(), asked_none=True), signed)
    assert Message.objects.get().seen_at is None
    page = text(signed_in().get(reverse("order", args=[Order.objects.get().pk])))
    assert f"Add what it names to the list, or record that it names nothing. {signed}" in page


@pytest.mark.parametrize("signed", ["Ida Fenwick", "ida", "IDA FENWICK", "Jonas van der Meer", "Ida and Jonas Fenwick"])
def test_a_name_is_none(small_kitchen: Kitchen, signed: str) -> None:
    approve(sent_make(allergies=()), signed)
    assert not Message.objects.exists()


def test_nor_is_what_the_owner_records_as_the_name_lost(small_kitchen: Kitchen) -> None:
    quote = sent_make(allergies=())
    signed = "Ida Fenwick, ingen jordnötter"
    quote_record_approval(quote_id=quote.pk, name=signed, reason="By phone", by=BY, at=NOW)
    assert Message.objects.get().text == signed


def test_another_number_of_guests_with_a_need_of_the_list_is_asked(small_kitchen: Kitchen) -> None:
    quote = sent_make(allergies=("peanuts",), need_counts={"peanuts": 1})
    facts = {"quote_id": quote.pk, "name": "Ida Fenwick", "by": BY, "at": NOW}
    for reason in (
        "Three of her peanut people will come now instead of one.",
        "By phone: another guest with a peanut allergy",
    ):
        with refused(NeedInReason, match="peanuts"):
            quote_record_approval(reason=reason, **facts)  # type: ignore[arg-type]
    quote_record_approval(reason="By phone at ten; the peanut guest comes", **facts)  # type: ignore[arg-type]
