"""What a quote said that something contains, and the next one says less of, is named and acknowledged by name."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient
from orders.approvals.links import link_create
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.models import AuditEntry
from orders.records.need_errors import TextUnread
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored, sent_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.quotes.send.ticks import ticks
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
KIWI = "other:kiwi"
CAKE = "Walnut sponge cake, two tiers"
BEFORE = f"{CAKE}: before, we said it contains or may contain kiwi (Kiwi puree). That is not checked now: ask us."


@pytest.fixture(autouse=True)
def kitchen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make(phone="555 0100")


def walnut(**columns: object) -> None:
    Ingredient.objects.filter(code="walnut").update(**columns)
    catalog_changed()


def page_of(sent: Quote) -> str:
    client = Client()
    client.get(reverse("link-login", args=[link_create(quote_id=sent.pk, at=NOW)]))
    return text(client.get(reverse("quote-page", args=[sent.pk])))


def test_a_renamed_ingredient_does_not_take_back_in_silence_what_was_said() -> None:
    walnut(name="Kiwi puree")
    sent = sent_make(allergies=(KIWI,), need_counts={KIWI: 2}, table=table_make())
    walnut(name="Green puree")
    draft = quote_revise(quote_id=sent.pk, by=BY, at=NOW)
    owner = signed_in()
    assert BEFORE in text(owner.get(reverse("quote-send", args=[draft.pk])))
    with pytest.raises(TextUnread):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=())
    owner.post(reverse("quote-send", args=[draft.pk]), ticks(draft))
    entry = AuditEntry.objects.get(event="less_said_read")
    assert (entry.params["products"], entry.params["what"]) == ([CAKE], "not_known_any_more")
    assert BEFORE in page_of(pdf_stored(Quote.objects.get(pk=draft.pk)))


def test_an_answer_taken_back_is_never_called_no_longer_in_it() -> None:
    walnut(allergens=["walnuts", "peanuts"])
    sent = sent_make(allergies=("peanuts",), table=table_make())
    walnut(allergens=["walnuts"], allergen_answers={})
    draft = quote_revise(quote_id=sent.pk, by=BY, at=NOW)
    page = text(signed_in().get(reverse("quote-send", args=[draft.pk])))
    assert "we said it contains or may contain peanuts. That is not checked now" in page
    assert "no longer contains peanuts" not in page


def test_a_promise_to_these_guests_is_not_shown_once_allergens_changed() -> None:
    note = "Lovely to hear of you both; every cake is made on Friday."
    draft = draft_make(allergies=("peanuts",), need_counts={"peanuts": 1}, table=table_make())
    Quote.objects.filter(pk=draft.pk).update(note=note)
    sent = pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=NOW))
    assert note in page_of(sent)
    walnut(allergens=["walnuts", "peanuts"])
    assert note not in page_of(sent)
    owner = signed_in()
    assert note in text(owner.get(reverse("quote", args=[sent.pk])))
    page = text(owner.post(reverse("quote-revise", args=[sent.pk]), follow=True))
    assert "The sent quote cannot be approved as it is: send this one." in page


def test_a_need_that_nothing_in_the_catalog_serves_says_so() -> None:
    draft = draft_make(table=table_make(), allergies=("vegan",), need_counts={"vegan": 4})
    page = text(signed_in().get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "No other dessert in the catalog is known to be suitable." in page
