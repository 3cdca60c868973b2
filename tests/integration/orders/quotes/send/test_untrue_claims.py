"""What a quote, its note and a reply claim to be free of is true by the answers, or it does not leave."""

import re
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.allergens import asked_of
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from orders.approvals.models import Message
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries.models import Inquiry
from orders.quotes.draft.claims import kitchens_voice
from orders.quotes.models import Quote
from orders.records.errors import ClaimsUntrue, NoteUnproven
from orders.records.need_errors import TextUnread
from orders.records.states import QuoteStatus
from tests import factories
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import edit_form_of
from tests.sending import own_read, quote_send_seen

pytestmark = pytest.mark.django_db


def described(code: str, description: str) -> None:
    Product.objects.filter(code=code).update(description=description)
    catalog_changed()


def sent(draft: Quote, *unchecked: str) -> Quote:
    return quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, unchecked=unchecked)


def note_saved(owner: Client, draft: Quote, note: str) -> Any:
    address = reverse("quote-terms", args=[draft.pk])
    return owner.post(address, edit_form_of(owner.get(address)).data(note=note))


def test_an_untrue_description_is_not_sent_and_named_once(owner: Client) -> None:
    described("walnut-cake", "Our classic, nut-free.")
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    words = "Walnut sponge cake, two tiers is described with “nut-free”, but it contains walnuts."
    assert page.count(words) == 1
    assert "Change these words" in page
    assert "Send quote" not in page
    with pytest.raises(ClaimsUntrue):
        sent(draft, "walnut-cake")
    assert words in text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))


def test_what_was_never_checked_is_claimed_to_nobody_not_even_by_a_tick(owner: Client) -> None:
    Ingredient.objects.filter(code="saffron").update(allergen_answers={})
    described("rice-glass", "No peanuts, no sesame.")
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    words = "is described with “No peanuts, no sesame”, but not every ingredient is checked for that."
    assert page.count(words) == 1
    with pytest.raises(ClaimsUntrue):
        sent(draft, "rice-glass")
    described("rice-glass", "A cream of rice.")
    assert sent(draft, "rice-glass").status == QuoteStatus.SENT


def test_the_name_of_an_extra_is_held_to_the_same(owner: Client) -> None:
    table, milk = factories.table_make(), tuple(code for code in asked_of("us") if code != "milk")
    extra = replace(factories.extra_make("Dairy-free cookies"), food="checked", allergens=("milk",), free_of=milk)
    draft = factories.draft_make(table=replace(table, extras=(extra,)), allergies=())
    assert "Dairy-free cookies is described with “Dairy-free”, but it contains milk." in text(
        owner.get(reverse("quote-send", args=[draft.pk]))
    )
    with pytest.raises(ClaimsUntrue):
        sent(draft)


@pytest.mark.parametrize(
    ("note", "against"),
    [
        ("Everything is nut-free.", "“nut-free” is not so. It is in: Walnut sponge cake, two tiers."),
        ("The walnut sponge cake is safe for people with nut allergies.", "It is in: Walnut sponge cake, two tiers."),
        ("We are a nut-free kitchen.", "It is in: Walnut"),
        ("The custard tart is vegan.", "“vegan” is not so."),
        ("Dairy? Not in these.", "is not so. It is in:"),
        ("We use no flour at all.", "It is in:"),
    ],
)
def test_a_note_that_the_answers_contradict_is_refused_and_stays_as_typed(
    owner: Client, note: str, against: str
) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    page = note_saved(owner, draft, note)
    assert against in text(page)
    assert note in page.content.decode()
    assert Quote.objects.get(pk=draft.pk).note == ""
    Quote.objects.filter(pk=draft.pk).update(note=note)  # the table changed after it was written
    assert against in text(owner.get(reverse("quote-send", args=[draft.pk])))
    with pytest.raises(NoteUnproven):
        sent(draft)


@pytest.mark.parametrize(
    "note",
    [
        "We look forward to it.",
        "The custard tart is nut-free; the walnut sponge cake is not.",
        "We cannot promise that anything is nut-free.",
        "Tell us who is vegan.",
    ],
)
def test_a_note_that_is_true_or_warns_is_saved(owner: Client, note: str) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    assert note_saved(owner, draft, note).status_code == 302
    assert sent(draft).note == note


def test_a_reply_is_held_to_the_same_and_stays_as_typed(owner: Client) -> None:
    quote = factories.sent_make(allergies=())
    reply = {"text": "Do not worry about nuts: all of it is safe for her."}
    page = owner.post(reverse("quote-reply", args=[quote.pk]), reply)
    assert "is not so. It is in: Walnut sponge cake, two tiers." in text(page)
    assert reply["text"] in page.content.decode()
    assert not Message.objects.exists()
    reply = {"text": "The cake has walnuts; the tart is free of them."}
    owner.post(reverse("quote-reply", args=[quote.pk]), reply)
    assert Message.objects.count() == 1


@pytest.mark.parametrize(
    "words",
    [
        "The cake is fine for your guest.",
        "It suits your walnut guest.",
        "There is nothing to worry about.",
        "She can eat everything.",
        "All of it is safe for them.",
    ],
)
def test_a_reply_says_of_no_dessert_that_it_suits_a_guest_it_does_not(owner: Client, words: str) -> None:
    quote = factories.sent_make(allergies=("walnuts",))
    page = owner.post(reverse("quote-reply", args=[quote.pk]), {"text": words})
    assert "is not so. It is in: Walnut" in text(page)
    assert not Message.objects.exists()


@pytest.mark.parametrize(
    "words",
    [
        "The side door is fine for your guests.",
        "The custard tart is fine for your guest.",
        "The cake is not for your guest: it has walnuts.",
        "Saturday at five is fine for us.",
    ],
)
def test_a_reply_that_is_true_or_about_something_else_goes_out_once_it_is_read(owner: Client, words: str) -> None:
    quote = factories.sent_make(allergies=("walnuts",))
    address = reverse("quote-reply", args=[quote.pk])
    page = owner.post(address, {"text": words})
    assert "Guests have allergies or diets, or may have. Read your text again" in text(page)
    assert not Message.objects.exists()
    owner.post(address, {"text": words, "read": own_read(quote, words)})
    assert Message.objects.get().text == words


@pytest.mark.parametrize(
    "words",
    [
        "All of it is fine for Luc.",
        "It is okay for Luc.",
        "Luc kann alles davon essen.",
        "Pas de souci, tout convient \u00e0 Luc.",
        "Tutto va bene per Luc.",
        "Luc puede comer todo.",
        "Alles is prima voor Luc.",
        "The cake is good for Luc.",
        "Nuts are off the menu.",
        "Everyone with a nut problem can tuck in.",
        "Nuts stay away from it.",
        "Nuts stay away from our kitchen.",
        "It is free from all 9 majors.",
        "Rest assured, no issues for anybody.",
        "Mleko: brak.",
    ],
)
def test_a_reply_that_says_what_is_fine_is_asked_about_before_it_goes(owner: Client, words: str) -> None:
    quote = factories.sent_make(allergies=("walnuts",))
    address = reverse("quote-reply", args=[quote.pk])
    page = owner.post(address, {"text": words})
    assert not Message.objects.exists()
    if "What it says about food is true for walnuts" not in text(page):
        assert "is not so. It is in: Walnut" in text(page), "refused as a claim"
        return
    marks = re.findall(r'name="read" value="([^"]+)"', page.content.decode())
    owner.post(address, {"text": words, "read": marks})
    assert Message.objects.get().text == words


def test_a_need_that_a_message_names_counts_before_it_is_recorded(owner: Client) -> None:
    quote = factories.sent_make(allergies=())
    quote_ask_change(
        quote_id=quote.pk, text="My aunt can't eat walnuts.", evidence=ApprovalEvidence(), at=factories.NOW
    )
    page = owner.post(reverse("quote-reply", args=[quote.pk]), {"text": "The cake is fine for your aunt."})
    assert "is not so. It is in: Walnut sponge cake, two tiers" in text(page)


def test_a_place_claims_nothing_of_desserts_and_a_halls_own_name_is_asked_about(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    Inquiry.objects.filter(pk=draft.inquiry_id).update(place="Nut-free hall, all desserts gluten-free")
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "The place: “gluten-free”" in page
    with pytest.raises(NoteUnproven):
        sent(draft)
    Inquiry.objects.filter(pk=draft.inquiry_id).update(place="Nut-free hall, Calder Road")
    assert "“Nut-free hall” speaks of tree nuts." in text(owner.get(reverse("quote-send", args=[draft.pk])))
    with pytest.raises(TextUnread):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, read=())
    assert sent(draft).status == QuoteStatus.SENT


def test_a_customers_note_makes_no_claim_of_the_kitchens(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=("tree-nuts",))
    note = Inquiry.objects.filter(pk=draft.inquiry_id)
    note.update(allergy_note="All our desserts are nut-free and suit celiacs.")
    assert "The allergy notes: “nut-free”" in text(owner.get(reverse("quote-send", args=[draft.pk])))
    with pytest.raises(NoteUnproven):
        sent(draft)


@pytest.mark.parametrize(
    "words",
    [
        "Please no nuts, our son reacts badly.",
        "All the desserts must be nut-free.",
        "Could every dessert be nut-free?",
        "We keep a nut-free house.",
    ],
)
def test_what_a_customer_asks_for_stays_their_own_words(words: str) -> None:
    assert kitchens_voice(words) == ""
