"""A claim that what is declared now contradicts: no page or sheet written now says it as current."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from orders.documents.content import content_read
from orders.quotes.draft.allergens import label_changes
from tests.factories import EVENT, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.private_link import entered

pytestmark = pytest.mark.django_db
CLAIM = "No peanuts: a light sponge"
GONE = "these words no longer hold: “No peanuts”"


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make()
    Product.objects.filter(code="walnut-cake").update(description=f"{CLAIM}.")
    catalog_changed()
    cache.clear()
    yield
    cache.clear()


def peanuts_found() -> None:
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts"])
    catalog_changed()


def test_the_customers_page_leaves_the_text_out_and_says_that_it_is_not_true(client: Client) -> None:
    quote = sent_make()
    page = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert CLAIM in page
    peanuts_found()
    page = text(client.get(f"/q/{quote.pk}/"))
    assert CLAIM not in page
    assert GONE in page
    assert "These words no longer hold: “No peanuts”." in page


def test_a_recipe_sheet_says_it_beside_the_name() -> None:
    owner, order = signed_in("kitchen"), order_make()
    Recipe.objects.filter(lines__ingredient__code="walnut").update(name="Batter (no peanuts)")
    catalog_changed()
    address = f"{reverse('sheet-recipes')}?first={EVENT.date()}&last={EVENT.date()}"
    page = text(owner.get(address))
    assert "Batter (no peanuts)" in page
    assert "These words no longer hold" not in page
    peanuts_found()
    assert "These words no longer hold: “no peanuts”" in text(owner.get(address))
    assert order.pk


def test_what_nobody_checks_any_more_is_no_claim_and_stops_the_approval(client: Client) -> None:
    quote = sent_make()
    page = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert CLAIM in page
    unchecked = {code: answer for code, answer in walnut().allergen_answers.items() if code != "peanuts"}
    Ingredient.objects.filter(code="walnut").update(allergen_answers=unchecked)
    catalog_changed()
    page = text(client.get(f"/q/{quote.pk}/"))
    assert CLAIM not in page
    assert "These words no longer hold: “No peanuts”." in page
    (change,) = label_changes(content_read(quote.content), book_current())
    assert change.stops


def walnut() -> Ingredient:
    return Ingredient.objects.get(code="walnut")
