"""Whatever a customer writes where they sign, beyond a name, waits for somebody's statement."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.kitchen.models import Kitchen
from orders.approvals.errors import NameNamesNeed
from orders.approvals.links import link_create
from orders.approvals.models import Approval, Message
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.models import AuditEntry
from orders.records.need_errors import NeedInReason
from tests.factories import BY, NOW, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def approve(quote: Quote, name: str, **more: object) -> Approval:
    facts = {"content_sha256": quote.content_sha256, "evidence": ApprovalEvidence(), "at": NOW, **more}
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


@pytest.mark.parametrize("signed", ["Emma Has A Peanut Allergy", "Ida Fenwick & the 3 with zoeliakie"])
def test_a_name_that_names_a_need_approves_nothing(small_kitchen: Kitchen, signed: str) -> None:
    with refused(NameNamesNeed, match="Approve with your name alone"):
        approve(sent_make(allergies=(), asked_none=True), signed)
    assert not Approval.objects.exists()


def test_nor_does_one_that_the_owner_enters_where_the_list_lacks_it(small_kitchen: Kitchen) -> None:
    quote = sent_make(allergies=(), asked_none=True)
    facts = {"quote_id": quote.pk, "reason": "By phone", "by": BY, "at": NOW}
    with refused(NeedInReason, match="peanuts"):
        quote_record_approval(name="Ida Fenwick, no peanuts", **facts)  # type: ignore[arg-type]
    quote_record_approval(name="Olive Fenwick", **facts)  # type: ignore[arg-type]


def test_a_name_with_a_word_of_food_approves_and_waits(small_kitchen: Kitchen) -> None:
    approve(sent_make(allergies=(), asked_none=True), "Ada Kiwi")
    assert Message.objects.get().seen_at is None
    page = text(signed_in().get(reverse("order", args=[Order.objects.get().pk])))
    assert "New message, not answered yet." in page


@pytest.mark.parametrize("signed", ["Ida Fenwick", "ida", "IDA FENWICK"])
def test_the_name_on_record_is_none(small_kitchen: Kitchen, signed: str) -> None:
    approve(sent_make(allergies=()), signed)
    assert not Message.objects.exists()


@pytest.mark.parametrize("signed", ["Jonas van der Meer", "Ida and Jonas Fenwick", "Ida Fenwick Utan Nötter"])
def test_another_name_is_one_where_who_signs_states_it(small_kitchen: Kitchen, signed: str) -> None:
    quote = sent_make(allergies=())
    approve(quote, signed, only_name=True)
    assert not Message.objects.exists()
    assert AuditEntry.objects.get(event="state_only_name").document_pk == quote.pk
    history = text(signed_in().get(reverse("quote", args=[quote.pk])))
    assert "stated by whoever approved: the name is only a name" in history.lower()


def test_of_what_the_owner_enters_nobody_is_claimed_to_have_stated_it(small_kitchen: Kitchen) -> None:
    quote = sent_make(allergies=())
    quote_record_approval(quote_id=quote.pk, name="Jonas van der Meer", reason="By phone", by=BY, at=NOW)
    assert not Message.objects.exists()
    assert not AuditEntry.objects.filter(event="state_only_name").exists()


def test_without_it_a_message(small_kitchen: Kitchen) -> None:
    approve(sent_make(allergies=()), "Ida Fenwick Utan Nötter")
    assert Message.objects.get().text == "Ida Fenwick Utan Nötter"


def test_a_statement_ends_nothing_where_words_of_food_are_known(small_kitchen: Kitchen) -> None:
    approve(sent_make(allergies=()), "Ada Kiwi", only_name=True)
    assert Message.objects.get().text == "Ada Kiwi"


class TestOnThePage:
    @staticmethod
    def approval(quote: Quote, client: Client, **data: str) -> Any:
        form = {"content_sha256": quote.content_sha256, **data}
        return client.post(reverse("quote-page-approve", args=[quote.pk]), form)

    @pytest.fixture
    def quote(self, small_kitchen: Kitchen) -> Quote:
        return sent_make(allergies=(), at=timezone.now())

    @pytest.fixture
    def customer(self, quote: Quote) -> Client:
        client = Client()
        client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]))
        return client

    def test_the_name_on_record_approves_at_once(self, quote: Quote, customer: Client) -> None:
        assert self.approval(quote, customer, name="Ida Fenwick").status_code == 302

    def test_a_need_beside_the_name_is_a_message_that_stops(self, quote: Quote, customer: Client) -> None:
        page = self.approval(quote, customer, name="Ida Fenwick & the 3 with zoeliakie")
        assert "Nothing was approved: beside your name you wrote what may be about allergies" in text(page)
        assert Message.objects.get().text == "Ida Fenwick & the 3 with zoeliakie"
        assert "Nothing was approved" in text(self.approval(quote, customer, name="Ida Fenwick"))
        assert not Approval.objects.exists()

    @pytest.mark.parametrize(("checked", "messages"), [({"only_name": "on"}, 0), ({}, 1)])
    def test_another_is_asked_once_and_then_approves_either_way(
        self, quote: Quote, customer: Client, checked: dict[str, str], messages: int
    ) -> None:
        page = self.approval(quote, customer, name="Jonas Meer")
        assert page.status_code == 200
        assert "The quote is for Ida Fenwick." in text(page)
        assert "“Jonas Meer” is only a name" in text(page)
        assert not Approval.objects.exists()
        asked = dict(re.findall(r'name="(asked_name|name)"[^>]*value="([^"]*)"', page.content.decode()))
        assert asked == {"name": "Jonas Meer", "asked_name": "Jonas Meer"}
        assert self.approval(quote, customer, **asked, **checked).status_code == 302
        assert Approval.objects.get().name == "Jonas Meer"
        assert Message.objects.count() == messages

    def test_what_was_stated_of_one_name_holds_for_no_other(self, quote: Quote, customer: Client) -> None:
        page = self.approval(quote, customer, name="Jonas Utan Nötter", asked_name="Jonas Meer", only_name="on")
        assert page.status_code == 200
        assert not re.search(r'name="only_name"[^>]*checked', page.content.decode())


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
