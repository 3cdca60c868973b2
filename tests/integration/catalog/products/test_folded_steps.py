"""Where a product has many steps each is folded: the first is open, and so is what needs a look."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product, ProductStep
from tests.factories import kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in
from tests.integration.forms_on_pages import edit_form_of

pytestmark = pytest.mark.django_db
FOLDS = re.compile(r'<details class="step-fold"( open)?><summary>([^<]*)')


@pytest.fixture
def owner() -> Client:
    """A browser in which the owner of a small kitchen is signed in."""
    kitchen_make()
    return signed_in()


@pytest.fixture
def cake(owner: Client) -> Product:
    """Return a cake with ten steps."""
    cake = Product.objects.get(code="walnut-cake")
    kind = ProductStep.objects.filter(product=cake).values_list("kind", flat=True)[0]
    ProductStep.objects.filter(product=cake).delete()
    ProductStep.objects.bulk_create(
        ProductStep(product=cake, position=at, name=f"Step called {at}", kind=kind, minutes=10) for at in range(10)
    )
    catalog_changed()
    return cake


def test_all_but_the_first_of_many_steps_are_folded(cake: Product, owner: Client) -> None:
    """Seen: an editor 24,282 pixels long on a phone."""
    page = owner.get(reverse("product-edit", args=[cake.pk])).content.decode()
    found = FOLDS.findall(page)
    assert [name for _, name in found] == [f"Step called {at} " for at in range(10)]
    assert [bool(opened) for opened, _ in found] == [True, *[False] * 9]


def test_a_step_with_an_error_is_open(cake: Product, owner: Client) -> None:
    address = reverse("product-edit", args=[cake.pk])
    data = {**edit_form_of(owner.get(address)).fields, "steps-4-minutes": "many", "do": "save"}
    page = owner.post(address, data).content.decode()
    assert [at for at, (opened, _) in enumerate(FOLDS.findall(page)) if opened] == [0, 4]


def test_few_steps_stand_open_as_they_are(owner: Client) -> None:
    cake = Product.objects.get(code="walnut-cake")
    ProductStep.objects.filter(pk__in=[one.pk for one in cake.steps.all()[2:]]).delete()
    catalog_changed()
    assert "step-fold" not in owner.get(reverse("product-edit", args=[cake.pk])).content.decode()
