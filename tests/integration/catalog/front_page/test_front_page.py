"""The catalog's front page says that all is well only where every ingredient is checked for allergens."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from tests.factories import kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db


def test_an_ingredient_that_nobody_checked_is_named() -> None:
    kitchen_make()
    owner = signed_in()
    page = text(owner.get(reverse("catalog")))
    assert (
        "Prices and allergens are complete. Everything in the catalog can be priced, and every ingredient is checked"
        in page
    )
    Ingredient.objects.filter(code="saffron").update(allergen_answers={})
    catalog_changed()
    page = text(owner.get(reverse("catalog")))
    assert "Prices and allergens are complete." not in page
    assert "1 ingredient is not checked for every allergen of your list." in page
    saffron = Ingredient.objects.get(code="saffron")
    assert reverse("ingredient", args=[saffron.pk]) in owner.get(reverse("catalog")).content.decode()


def test_what_is_archived_and_in_no_recipe_is_no_matter() -> None:
    kitchen_make()
    owner = signed_in()
    Ingredient.objects.create(code="old", name="Old", active=False)
    assert "Prices and allergens are complete." in text(owner.get(reverse("catalog")))


def test_an_empty_catalog_is_not_in_order() -> None:
    page = text(signed_in().get(reverse("catalog")))
    assert "Prices and allergens are complete." not in page
    assert "Nothing to sell yet." in page


def test_a_product_whose_words_its_ingredients_deny_is_named() -> None:
    kitchen_make()
    owner = signed_in()
    assert "Words that are not so." not in text(owner.get(reverse("catalog")))
    Product.objects.filter(code="walnut-cake").update(description="Free of nuts.")
    catalog_changed()
    page = text(owner.get(reverse("catalog")))
    assert "Words that are not so." in page
    assert "Walnut sponge cake, two tiers" in page


def test_what_a_kitchen_has_in_spreadsheets_and_price_lists_comes_in_from_here() -> None:
    owner = signed_in()
    page = owner.get(reverse("catalog"))
    assert "Import what you have Recipes, ingredients, products and customers from your spreadsheets." in text(page)
    for name in ("spreadsheets", "price-lists"):
        assert f'href="{reverse(name)}"' in page.content.decode()
    kitchen_make()
    assert "Import what you have: recipes, ingredients" in text(owner.get(reverse("day")))
