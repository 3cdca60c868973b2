"""Every text a kitchen types and a customer reads is held to what the ingredients bear out."""

from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.kitchen.services import profile_save
from catalog.products.models import Product
from catalog.records.errors import WordsUnproven as ProfileUnproven
from catalog.taxes.models import TaxCategory
from orders.inquiries.models import Inquiry
from orders.invoices.credit_notes import credit_note_issue
from orders.quotes.draft.services import Terms, draft_terms, end_of
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from orders.records.errors import ClaimsUntrue, NoteUnproven, OrderError, WordsUnproven
from orders.records.presenters import sentence
from orders.records.states import QuoteStatus
from tests import factories
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.builders import invoice_make, order_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
CLAIM = "All of it is nut-free."
AGAINST = "“nut-free” is not so. It is in: Walnut"


def drafted(**facts: object) -> Quote:
    return factories.draft_make(allergies=(), **facts)  # type: ignore[arg-type]


def refused_to_send(draft: Quote, error: type[OrderError]) -> str:
    with pytest.raises(error) as caught:
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW)
    return sentence(caught.value)


def test_cancellation_terms_are_refused_at_their_field_and_when_they_are_sent(owner: Client) -> None:
    draft = drafted()
    address = reverse("quote-terms", args=[draft.pk])
    form = edit_form_of(owner.get(address))
    page = owner.post(address, {**form.data(), "cancellation_terms": CLAIM})
    assert f"The cancellation terms: {AGAINST}" in text(page)
    assert CLAIM in page.content.decode(), "what was typed stays"
    Quote.objects.filter(pk=draft.pk).update(cancellation_terms=CLAIM)
    assert f"The cancellation terms: {AGAINST}" in text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert f"The cancellation terms: {AGAINST}" in refused_to_send(draft, NoteUnproven)


def test_terms_without_a_claim_are_saved(quote: Quote) -> None:
    terms = Terms(
        valid_until=end_of(factories.NOW.date(), factories.NOW.tzinfo),  # type: ignore[arg-type]
        deposit_share=quote.deposit_share,
        deposit_days=7,
        balance_days=14,
        cancellation_terms="A week before: half of it. We cannot promise that anything is nut-free.",
    )
    saved = draft_terms(quote_id=quote.pk, terms=terms, by=factories.BY, at=factories.NOW)
    assert saved.cancellation_terms == terms.cancellation_terms


def test_the_event_name(owner: Client) -> None:
    draft = drafted(title="Nut-free birthday of Max")
    assert f"The event name: “Nut-free” {AGAINST.partition(' ')[2]}" in text(
        owner.get(reverse("quote-send", args=[draft.pk]))
    )
    refused_to_send(draft, NoteUnproven)
    Inquiry.objects.filter(pk=draft.inquiry_id).update(title="Birthday of Max")
    assert quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).status == QuoteStatus.SENT


def test_the_name_of_an_extra_that_is_no_food(owner: Client) -> None:
    draft = drafted(table=replace(factories.table_make(), extras=(factories.extra_make("Nut-free dessert bar"),)))
    assert "The name of an extra: “Nut-free” is not so." in refused_to_send(draft, NoteUnproven)


def test_the_words_of_a_tax(quote: Quote) -> None:
    TaxCategory.objects.filter(code="goods").update(name="Tax on nut-free food")
    catalog_changed()
    draft = drafted()
    code = Product.objects.get(code="custard-tart").tax.code
    TaxCategory.objects.filter(code=code).update(name="Tax on nut-free food")
    catalog_changed()
    assert "The name of a tax, or why none is charged: “nut-free” is not so." in refused_to_send(draft, NoteUnproven)


def test_how_a_dessert_is_held(quote: Quote) -> None:
    Product.objects.filter(code="walnut-cake").update(holding="Keep it cool. It is nut-free.")
    catalog_changed()
    assert "“nut-free”" in refused_to_send(drafted(), ClaimsUntrue)


@pytest.mark.parametrize("column", ["name", "payment_details", "tax_note", "approve_button", "cancellation_terms"])
def test_a_profile_is_refused_at_the_field(quote: Quote, column: str) -> None:
    with pytest.raises(ProfileUnproven) as caught:
        profile_save(data={column: "The nut-free kitchen"})
    assert caught.value.place == column


@pytest.mark.parametrize(
    ("column", "words"),
    [
        ("payment_details", "What your profile says about payment goes out with the quote."),
        ("approve_button", "The wording of your approval button goes out"),
        ("tax_note", "The tax wording in your profile goes out"),
        ("name", "The kitchen's name goes out"),
    ],
)
def test_a_profile_that_became_untrue_stops_the_quote(quote: Quote, column: str, words: str) -> None:
    Kitchen.objects.update(**{column: "The nut-free kitchen"})
    catalog_changed()
    assert words in refused_to_send(quote, WordsUnproven)


def test_why_a_quote_is_withdrawn(owner: Client) -> None:
    sent = factories.sent_make(allergies=())
    address = reverse("quote-withdraw", args=[sent.pk])
    page = owner.post(address, {"reason": CLAIM})
    assert f"The reason: {AGAINST}" in text(page)
    assert CLAIM in page.content.decode()
    with pytest.raises(NoteUnproven):
        quote_withdraw(quote_id=sent.pk, reason=CLAIM, by=factories.BY, at=factories.NOW)
    owner.post(address, {"reason": "The day is taken."})
    assert Quote.objects.get(pk=sent.pk).status == QuoteStatus.WITHDRAWN


def test_why_a_draft_is_discarded_is_read_by_nobody(quote: Quote) -> None:
    assert quote_withdraw(quote_id=quote.pk, reason=CLAIM, by=factories.BY, at=factories.NOW)


def test_why_an_invoice_is_credited(small_kitchen: Kitchen) -> None:
    invoice = invoice_make(order_make(allergies=()))
    with pytest.raises(NoteUnproven) as caught:
        credit_note_issue(invoice_id=invoice.pk, reason=CLAIM, idempotency_key="k", by=factories.BY, at=factories.NOW)
    assert f"The reason: {AGAINST}" in sentence(caught.value)


def test_the_kitchens_note_of_an_order(small_kitchen: Kitchen, owner: Client) -> None:
    order = order_make(allergies=())
    form = edit_form_of(owner.get(reverse("order", args=[order.pk])))
    words = "The walnut sponge cake is nut-free and safe for the walnut guests."
    page = owner.post(reverse("order-note", args=[order.pk]), {**form.data(), "note": words})
    assert page.status_code == 422
    assert "The kitchen note: “nut-free” is not so." in text(page)
    assert words in page.content.decode()
    order.refresh_from_db()
    assert order.note == ""
    owner.post(reverse("order-note", args=[order.pk]), {**form.data(), "note": "Bring the stand."})
    order.refresh_from_db()
    assert order.note == "Bring the stand."
