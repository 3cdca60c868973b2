"""A stay in an oven is hot whatever it is called: how warm it leaves is asked as of a bake."""

from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batches import hot_unsaid
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.selectors import products_unsaid
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from orders.quotes.cooling.selectors import broken
from tests.factories import kitchen_make

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def why() -> list[str]:
    return [one.why for one in broken({TART: 24}, book_current())]


@pytest.mark.parametrize("kind", ["work", "rest", "finish"])
def test_a_step_of_a_product_in_an_oven_is_asked_as_a_bake_is(kind: str) -> None:
    kitchen_make()
    tart, oven = Product.objects.get(code=TART), Station.objects.get(kind="oven")
    tart.steps.all().delete()
    ProductStep.objects.create(product=tart, name="Set", kind=kind, minutes=Decimal(50), station=oven)
    catalog_changed()
    assert products_unsaid([TART], book_current())[TART].reason.code == "leaves_not_said"
    assert why() == ["leaves_not_said"]
    tart.steps.update(temperature_c=30)
    catalog_changed()
    assert TART not in products_unsaid([TART], book_current())


def test_a_step_of_a_recipe_in_an_oven_is_asked_as_a_bake_is() -> None:
    kitchen_make()
    custard, oven = Recipe.objects.get(code="custard"), Station.objects.get(kind="oven")
    custard.steps.all().delete()
    RecipeStep.objects.create(recipe=custard, name="Set", kind="work", minutes=Decimal(50), station=oven)
    catalog_changed()
    missing = hot_unsaid(book_current().recipe("custard"), RecipeMixtures(book_current()))
    assert missing is not None
    assert missing.reason.code == "not_said"
    assert why()
