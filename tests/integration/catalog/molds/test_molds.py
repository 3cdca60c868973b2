"""Molds on screen."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.molds.models import Mold
from catalog.products.models import Product
from tests.factories import PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import WILD
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db
RING = {
    "name": "Ring, 24 cm",
    "shape": "round",
    "diameter_cm": "24 cm",
    "height_cm": "5 cm",
    "owned": "4",
    "wall": "metal",
}


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def test_a_mold_is_saved_with_the_measures_of_its_shape_only(owner: Client) -> None:
    owner.post(reverse("mold-new"), RING | {"length_cm": "40", "width_cm": "30"})
    ring = Mold.objects.get(name="Ring, 24 cm")
    assert (ring.diameter_cm, ring.length_cm, ring.owned) == (Decimal(24), None, 4)
    # π/4 · 24² · 5 cm³ = 2,262 ml = 2.39 US quarts of 946.353 ml; 24 cm = 9.449 in
    page = page_text(owner.get(reverse("molds")))
    assert "9.45 1.97 2.4 qt" in page
    assert "Size, in" in page
    assert "Height, in" in page


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"name": ""}, "Enter a name, such as Deep ring."),
        ({"diameter_cm": ""}, "Enter the inside diameter, such as 9 inches."),
        ({"shape": "block"}, "Enter the inside length, such as 9 inches."),
        ({"diameter_cm": "-3"}, "The diameter must be more than 0."),
        ({"owned": "0"}, "The number owned must be 1 or more."),
    ],
)
def test_each_mistake_gets_a_sentence_that_names_the_fix(owner: Client, more: dict[str, str], sentence: str) -> None:
    response = owner.post(reverse("mold-new"), RING | more)
    assert response.status_code == 422
    assert sentence in page_text(response)


def test_two_molds_of_one_name_are_refused(owner: Client) -> None:
    owner.post(reverse("mold-new"), RING)
    response = owner.post(reverse("mold-new"), RING | {"name": "ring, 24 CM"})
    assert "There is already a mold named ring, 24 CM." in page_text(response)
    ring = Mold.objects.get()
    assert save_edit(owner, reverse("mold-edit", args=[ring.pk]), RING | {"owned": "5"}).status_code == 302


def test_a_mold_in_use_is_not_deleted_and_its_products_are_named(owner: Client) -> None:
    owner.post(reverse("mold-new"), RING)
    ring = Mold.objects.get()
    Product.objects.filter(code="custard-tart").update(mold=ring)
    response = owner.post(reverse("mold-delete", args=[ring.pk]))
    assert response.status_code == 409
    assert "Custard tart, 10 cm" in page_text(response)
    Product.objects.update(mold=None)
    owner.post(reverse("mold-delete", args=[ring.pk]))
    assert not Mold.objects.exists()


@pytest.mark.parametrize("wild", WILD)
def test_no_value_breaks_a_mold(owner: Client, wild: str) -> None:
    assert owner.post(reverse("mold-new"), dict.fromkeys(RING, wild)).status_code < 500
