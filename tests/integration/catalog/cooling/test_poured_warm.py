"""What a product takes as it leaves the heat cools in the product: its recipe is asked for no step in the cold."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.cooling.selectors import cooled
from catalog.products.models import Product
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.vessels.models import Vessel
from orders.quotes.cooling.selectors import broken
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.cooling.test_warm_parts import TART, kitchen
from tests.integration.catalog.recipes.test_recipes import page_text

pytestmark = pytest.mark.django_db


def batches() -> list[str]:
    return [one.recipe.code for one in batch_colds([("custard", Fraction(2400))], book_current())]


def poured_make(takes_c: str = "78", **step: object) -> None:
    """Boil the custard in a pot, and pour it into the tarts at a temperature; no step says how long it is held."""
    kitchen(hold_max=None, takes=["custard"], takes_c=Decimal(takes_c))
    pot = Vessel.objects.create(name="Pot", kind="pot", diameter_cm=Decimal(28), height_cm=Decimal(24), owned=1)
    # The sponge is filled with it cold.
    Product.objects.exclude(code=TART).delete()
    RecipeStep.objects.filter(recipe__code="custard").update(**{"vessel": pot, **step})
    catalog_changed()


def test_what_cools_is_the_product_and_no_batch_in_its_pot() -> None:
    poured_make()
    assert batches() == []
    found = cooled([TART], book_current())[TART]
    assert found.missing is None
    (one,) = found.cycles
    assert one.plan.initial_c > 45
    assert [each.item.kind for each in broken({TART: 24}, book_current())] == []


@pytest.mark.parametrize(
    ("takes_c", "step"),
    [("40", {}), ("78", {"hold_max": Decimal(240)}), ("78", {"wait_min": Decimal(240)}), ("78", {"ice_bath": True})],
)
def test_what_loses_its_heat_in_the_pot_first_is_a_batch(takes_c: str, step: dict[str, object]) -> None:
    poured_make(takes_c, **step)
    assert batches() == ["custard"]


def test_what_another_recipe_takes_too_is_a_batch() -> None:
    poured_make()
    paste, custard = Recipe.objects.get(code="paste"), Recipe.objects.get(code="custard")
    RecipeLine.objects.create(recipe=paste, position=9, component=custard, amount="100 g")
    catalog_changed()
    assert batches() == ["custard"]


def test_its_page_asks_for_nothing_and_says_why(client: Client) -> None:
    poured_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    page = page_text(client.get(reverse("recipe-cooling", args=[Recipe.objects.get(code="custard").pk])))
    assert "It does not cool as a batch." in page
    assert "its products take it as it leaves the heat" in page
