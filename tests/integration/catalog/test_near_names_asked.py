"""Whoever adds something whose name is near one that exists is asked; one tick adds it anyway."""

import html
import re
from datetime import timedelta
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory
from orders.inquiries.models import Customer, Inquiry
from tests.factories import PASSWORD, inquiry_make, kitchen_make, user_make
from tests.integration.catalog.editor_forms import product_form_data, recipe_form_data, rows

pytestmark = pytest.mark.django_db
ASKED = "You may already have this"


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def page_text(response: HttpResponse | Any) -> str:
    """The page's text as people read it."""
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())))


def test_an_ingredient_in_another_order(owner: Client) -> None:
    there = Ingredient.objects.get(name="Butter, unsalted")
    data = {"name": "unsalted butter", "base": "g", "charge": "used", "active": "on"} | rows("parts", [])
    asked = owner.post(reverse("ingredient-new"), data)
    assert f"{ASKED}: Butter, unsalted." in page_text(asked)
    assert f'<a href="{reverse("ingredient", args=[there.pk])}">Butter, unsalted</a>' in asked.content.decode()
    assert not Ingredient.objects.filter(name="unsalted butter").exists()
    owner.post(reverse("ingredient-new"), data | {"another": "on"})
    assert Ingredient.objects.filter(name="unsalted butter").exists()


def test_an_ingredient_by_what_it_is_commonly_called(owner: Client) -> None:
    data = {"name": "Butter", "base": "g", "charge": "used", "active": "on"} | rows("parts", [])
    assert f"{ASKED}: Butter, unsalted." in page_text(owner.post(reverse("ingredient-new"), data))


def test_a_recipe_in_the_plural(owner: Client) -> None:
    there = Recipe.objects.order_by("pk").first()
    assert there is not None
    data = recipe_form_data([("1 kg", "Granulated sugar")]) | {"name": f"{there.name.upper()}s"}
    assert f"{ASKED}: {there.name}" in page_text(owner.post(reverse("recipe-new"), data))
    assert owner.post(reverse("recipe-new"), data | {"another": "on"}).status_code == 302


def test_a_product_of_the_same_name(owner: Client) -> None:
    there, recipe = Product.objects.order_by("pk").first(), Recipe.objects.order_by("pk").first()
    assert there is not None
    assert recipe is not None
    data = product_form_data([{"amount": "300 g", "recipe": str(recipe.pk)}])
    data |= {"name": there.name, "tax": str(TaxCategory.objects.order_by("pk")[0].pk), "keeps": "3 days"}
    assert f"{ASKED}: {there.name}" in page_text(owner.post(reverse("product-new"), data))
    assert owner.post(reverse("product-new"), data | {"another": "on"}).status_code == 302


def test_what_exists_is_edited_without_being_asked(owner: Client) -> None:
    recipe = Recipe.objects.order_by("pk").first()
    assert recipe is not None
    assert ASKED not in page_text(owner.get(reverse("recipe-edit", args=[recipe.pk])))
    data = recipe_form_data([("1 kg", "Granulated sugar")]) | {"name": f"{recipe.name}s"}
    assert ASKED not in page_text(owner.post(reverse("recipe-edit", args=[recipe.pk]), data))


@pytest.fixture
def asked_for() -> dict[str, str]:
    """An inquiry of somebody whose name is near a customer's."""
    there = inquiry_make().customer
    day = timezone.localdate() + timedelta(days=40)
    return {
        "name": " ".join(reversed(there.name.split())).lower(),
        "kind": "private",
        "title": "Garden party",
        "day": day.isoformat(),
        "start": "15:00",
        "end": "16:00",
        "hand_over": "pickup",
        "asked_none": "on",
        "idempotency_key": "k" * 32,
    }


def test_a_customer_is_chosen_or_added_anyway(owner: Client, asked_for: dict[str, str]) -> None:
    there = Customer.objects.get()
    asked = owner.post(reverse("inquiry-new"), asked_for)
    assert f"{ASKED}: {there.name}." in page_text(asked)
    assert f"Choose {there.name}" in page_text(asked)
    assert Customer.objects.count() == 1
    picked = owner.post(reverse("inquiry-new"), asked_for | {"pick": str(there.pk)})
    assert f'name="customer" value="{there.pk}"' in picked.content.decode()
    assert owner.post(reverse("inquiry-new"), asked_for | {"another": "on"}).status_code == 302
    assert Customer.objects.count() == 2
    again = owner.post(reverse("inquiry-new"), asked_for)
    assert again.status_code == 302, "sent twice, it does its work once and asks nothing"
    assert Inquiry.objects.count() == 2


def test_an_address_says_who_it_is(owner: Client, asked_for: dict[str, str]) -> None:
    there = Customer.objects.get()
    assert there.email
    assert owner.post(reverse("inquiry-new"), asked_for | {"email": there.email}).status_code == 302
    assert Customer.objects.count() == 1
