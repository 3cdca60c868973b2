"""A message that names more guests, another person, a reaction, or a food of another country's list is asked about."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from orders.approvals.links import link_create
from orders.approvals.models import Message
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_ask_change
from orders.inquiries.models import Inquiry
from orders.inquiries.services import inquiry_change
from orders.quotes.draft.message_needs import messages_open
from orders.quotes.models import Quote
from orders.records.need_errors import NamesKnown, NamesReaction, NeedsNotInList
from tests.answering import message_answered
from tests.factories import BY, NOW, inquiry_data, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of
from tests.refusals import refused

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=2)
PEANUT = {"allergies": ("peanuts",), "need_counts": {"peanuts": 1}}


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    kitchen_make(phone="555 0100")
    cache.clear()
    yield
    cache.clear()


def write(quote: Quote, words: str, hours: int = 2) -> Message:
    at = NOW + timedelta(hours=hours)
    return quote_ask_change(quote_id=quote.pk, text=words, evidence=ApprovalEvidence(), at=at)


def listed(quote: Quote, hours: int, **counts: int) -> None:
    data = inquiry_data(allergies=tuple(counts), need_counts=counts)
    inquiry_change(inquiry_id=quote.inquiry_id, data=data, by=BY, at=NOW + timedelta(hours=hours))


def answered(message: Message, **how: bool) -> None:
    message_answered(message, at=NOW + timedelta(hours=9), **how)


def is_open(quote: Quote) -> bool:
    return bool(messages_open([Inquiry.objects.get(pk=quote.inquiry_id)]))


def form_page(quote: Quote) -> tuple[str, list[str], str]:
    page = signed_in().get(f"{reverse('inquiry-edit', args=[quote.inquiry_id])}?needs=note")
    fields = edit_form_of(page).fields
    return text(page), fields["allergies"], (fields.get("guests-peanuts") or [""])[0]


def test_more_guests_are_added_to_those_who_are_recorded_also_after_the_approval() -> None:
    sent = sent_make(**PEANUT)
    quote_approve(quote_id=sent.pk, content_sha256=sent.content_sha256, name="Ida", evidence=ApprovalEvidence(), at=NOW)
    message = write(sent, "Two more guests have a peanut allergy.")
    words, needs, guests = form_page(sent)
    assert "You had 1; the message says 2 more: 3." in words
    assert (needs, guests) == (["peanuts"], "1"), "a number that is recorded stays until somebody enters another"
    listed(sent, 3, peanuts=2)
    with refused(NeedsNotInList, match="3 guests: peanuts"):
        answered(message, recorded=True)
    listed(sent, 4, peanuts=3)
    answered(message, recorded=True)
    assert not is_open(sent)


def test_a_number_in_words_never_takes_the_place_of_one_that_is_recorded() -> None:
    sent = sent_make(allergies=("vegan",), need_counts={"vegan": 2})
    write(sent, "We are now up by 3 vegans.")
    page = signed_in().get(f"{reverse('inquiry-edit', args=[sent.inquiry_id])}?needs=note")
    assert edit_form_of(page).fields["guests-vegan"] == ["2"]
    assert "Enter how many they are in all." in text(page)


@pytest.mark.parametrize("words", ["Strike one maize: cousin Fip stays home. But his twin …", "No Maize-thing?"])
def test_a_need_in_own_words_counts_as_one_that_is_known(words: str) -> None:
    sent = sent_make(allergies=("other:maize",), need_counts={"other:maize": 2})
    message = write(sent, words)
    assert is_open(sent)
    with pytest.raises(NamesKnown):
        answered(message)
    answered(message, no_guest=True)
    assert not is_open(sent)


def test_what_two_messages_add_is_added_up() -> None:
    sent = sent_make(**PEANUT)
    first, second = write(sent, "Two more guests have a peanut allergy."), write(sent, "And another peanut allergy.", 3)
    words, _, guests = form_page(sent)
    assert guests == "1"
    assert "the message says 1 more: 4." in words
    listed(sent, 4, peanuts=3)
    answered(first, recorded=True)
    with refused(NeedsNotInList, match="4 guests: peanuts"):
        answered(second, recorded=True)


def test_it_is_added_to_what_was_recorded_between_the_quote_and_the_message() -> None:
    sent = sent_make(**PEANUT)
    listed(sent, 1, peanuts=2)
    write(sent, "Two more guests have a peanut allergy.")
    words, _, guests = form_page(sent)
    assert guests == "2"
    assert "the message says 2 more: 4." in words


def test_a_tick_says_that_the_list_counts_them_already() -> None:
    sent = sent_make(**PEANUT)
    message = write(sent, "Two more guests have a peanut allergy.")
    answered(message, recorded=True, no_guest=True)
    assert not is_open(sent)


def test_a_plain_number_stands_beside_the_one_that_was_recorded() -> None:
    sent = sent_make(**PEANUT)
    write(sent, "2 guests have a peanut allergy.")
    words, _, guests = form_page(sent)
    assert "Was 1; the message says 2." in words
    assert guests == "1"


@pytest.mark.parametrize(
    ("words", "guests"),
    [("Niece cannot eat peanuts.", "1"), ("One child can't have peanuts", "1"), ("Please no peanuts.", "")],
)
def test_one_person_is_one_guest_and_of_nobody_the_number_is_asked(words: str, guests: str) -> None:
    sent = sent_make(allergies=(), asked_none=True)
    write(sent, words)
    page, _, number = form_page(sent)
    assert number == guests
    assert ("How many guests?" in page) == (not guests)


def test_a_number_of_another_need_is_not_proposed() -> None:
    sent = sent_make(allergies=("other:citrus",), need_counts={"other:citrus": 2})
    write(sent, "The two who cannot have citrus are now four, and Ode swells up after peanuts.")
    page, needs, number = form_page(sent)
    assert "peanuts" in needs
    assert number == ""
    assert "The words do not say plainly which number belongs to this need. How many guests?" in page


@pytest.mark.parametrize(
    "words",
    ["Schwiegermutter vertr\u00e4gt keine Haselnuesse", "Pia can't eat hazelnuts", "My aunt can't eat hazelnuts"],
)
def test_another_person_with_a_need_of_the_list_is_asked_about(words: str) -> None:
    sent = sent_make(allergies=("hazelnuts",), need_counts={"hazelnuts": 1})
    message = write(sent, words)
    page = text(signed_in().get(reverse("quote", args=[sent.pk])))
    assert "In the list already: hazelnuts. Is it one more guest, or the same?" in page
    answered(message, recorded=True)
    assert not is_open(sent)


@pytest.mark.parametrize("words", ["Lupin and mustard make Pia ill", "Schwester: Sellerieallergie"])
def test_a_food_of_another_countrys_list_is_asked_about_and_recorded(words: str) -> None:
    sent = sent_make(allergies=(), asked_none=True)
    message, owner = write(sent, words), signed_in()
    with refused(NeedsNotInList, match="Not in the list"):
        answered(message, recorded=True)
    address = reverse("inquiry-edit", args=[sent.inquiry_id])
    form = edit_form_of(owner.get(f"{address}?needs=note"))
    assert owner.post(address, form.data()).status_code == 302
    assert set(Inquiry.objects.get(pk=sent.inquiry_id).allergies) in ({"lupin", "mustard"}, {"celery"})
    answered(message, recorded=True)


def test_a_reaction_is_not_dismissed_with_one_click() -> None:
    sent = sent_make(allergies=(), asked_none=True)
    message = write(sent, "Lea carries an EpiPen.")
    assert "The reaction is not that of a guest" in text(signed_in().get(reverse("quote", args=[sent.pk])))
    with refused(NamesReaction, match="speaks of a reaction"):
        answered(message)
    answered(message, no_guest=True)
    assert not is_open(sent)


@pytest.mark.parametrize("words", ["kiwi", "lychee"])
def test_a_note_of_what_no_list_has_says_so_too(words: str) -> None:
    sent = sent_make(allergies=(), allergy_note=f"Tante Erna's throat closes up with {words}")
    client = Client()
    client.get(reverse("link-login", args=[link_create(quote_id=sent.pk, at=NOW)]))
    page = text(client.get(reverse("quote-page", args=[sent.pk])))
    assert f"{words.capitalize()}: we have not checked our desserts for it; ask us." in page


def test_a_note_of_another_countrys_allergen_says_that_it_was_not_checked() -> None:
    sent = sent_make(allergies=(), allergy_note="Tante Erna: Sellerie")
    client = Client()
    client.get(reverse("link-login", args=[link_create(quote_id=sent.pk, at=NOW)]))
    page = text(client.get(reverse("quote-page", args=[sent.pk])))
    assert "You told us: Tante Erna: Sellerie" in page
    assert "Celery: we have not checked our desserts for it; ask us." in page
