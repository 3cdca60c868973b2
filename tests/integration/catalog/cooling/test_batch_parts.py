"""The page of a product says how the batches that go into it cool, also where its own steps ask for nothing."""

import re

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from catalog.products.selectors import usual_units
from catalog.vessels.models import Vessel
from tests.batch_kitchen import batch_kitchen_make
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


def page(tart: Product) -> str:
    return page_text(signed_in("kitchen").get(reverse("product-cooling", args=[tart.pk])))


def tart() -> Product:
    """A tart of which no step says how warm it leaves, filled from a batch."""
    found = Product.objects.get(code="custard-tart")
    found.steps.exclude(kind="fill").delete()
    found.steps.update(leaves_c=None)
    catalog_changed()
    return found


def test_a_product_filled_from_a_failing_batch_does_not_ask_for_no_cooling() -> None:
    custard = batch_kitchen_make(depth_cm=5)
    shown = page(tart())
    assert "It asks for no cooling" not in shown
    assert "Baked custard, in an order of 24: Does not meet the rule. How Baked custard cools" in shown
    response = signed_in("owner").get(reverse("product-cooling", args=[tart().pk])).content.decode()
    assert 'class="note stop"><p><strong>Baked custard, in an order of 24:</strong>' in response
    assert reverse("recipe-cooling", args=[custard.pk]) in response


def test_it_says_of_a_batch_what_is_not_known_or_not_possible() -> None:
    batch_kitchen_make(vessel=None)
    assert "Baked custard, in an order of 24: Choose the vessel it cools in after “Boil”." in page(tart())


def test_a_batch_that_keeps_the_rule_is_named_too() -> None:
    batch_kitchen_make(depth_cm=1)
    Vessel.objects.update(owned=40)
    catalog_changed()
    shown = page(tart())
    assert "Baked custard, in an order of 24: Meets the rule" in shown
    assert "It asks for no cooling" not in shown


def test_without_any_batch_nothing_is_asked_as_before() -> None:
    batch_kitchen_make()
    one = tart()
    one.fills.filter(recipe__code="custard").delete()
    catalog_changed()
    assert "No cooling is stated." in page(one)


def test_the_page_opens_at_the_quantity_of_the_product_and_its_batches_at_theirs() -> None:
    custard, one, owner = batch_kitchen_make(depth_cm=5), tart(), signed_in("owner")
    address = reverse("product-cooling", args=[one.pk])
    product = owner.get(reverse("product", args=[one.pk]) + "?units=48").content.decode()
    assert f'href="{address}?units=48"' in product
    few, many = owner.get(address).content.decode(), owner.get(f"{address}?units=48").content.decode()
    assert "in an order of 48:" in many
    grams = [
        int(re.search(rf"{reverse('recipe-cooling', args=[custard.pk])}\?amount=(\d+)\+g", shown)[1])  # type: ignore[index]
        for shown in (few, many)
    ]
    assert grams[1] == pytest.approx(grams[0] * 48 / usual_units(one), rel=0.01)


def test_a_quantity_that_cannot_be_is_named_and_the_usual_one_shown() -> None:
    batch_kitchen_make(depth_cm=5)
    answer = signed_in("owner").get(reverse("product-cooling", args=[tart().pk]) + "?units=x")
    assert answer.status_code == 422
    assert "in an order of 24:" in answer.content.decode()
