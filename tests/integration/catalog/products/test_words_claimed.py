"""Words about a product that may claim what it does not bear out are named on its page and when it is saved."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from tests.factories import kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Client:
    kitchen_make()
    return signed_in()


@pytest.mark.parametrize(
    ("description", "words"),
    [
        ("Kosher pareve.", "is described with “pareve”"),
        ("Dairy? None.", "is described with “Dairy? None”"),
        ("Kosher style.", "“Kosher style.” speaks of allergies."),
        ("Never a walnut in it", "“Never a walnut in it” speaks of walnuts."),
    ],
)
def test_the_page_and_the_form_name_them(owner: Client, description: str, words: str) -> None:
    cake = Product.objects.get(code="walnut-cake")
    address = reverse("product-edit", args=[cake.pk])
    form = edit_form_of(owner.get(address))
    page = text(owner.post(address, form.data(description=description, do="save"), follow=True))
    assert page.count(words) == 2, "above, and among the allergens"


def test_what_is_borne_out_is_not(owner: Client) -> None:
    Product.objects.filter(code="walnut-cake").update(description="Walnut sponge with saffron.")
    catalog_changed()
    page = text(owner.get(reverse("product", args=[Product.objects.get(code="walnut-cake").pk])))
    assert "speaks of" not in page
