"""What is safe at room temperature by its source is said so once, and never contradicted."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe, RecipeStep
from catalog.recipes.perishables import names_a_source
from orders.production.procedure import procedure
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db
SOURCE = "Alder laboratory, report 7"


def safe_glass() -> None:
    kitchen_make()
    Recipe.objects.update(shelf_stable=True, shelf_stable_source=SOURCE)
    RecipeStep.objects.update(leaves_c="95")
    ProductStep.objects.update(hold_max=None)
    catalog_changed()


def test_the_procedure_says_of_what_is_made_from_it_that_it_is_safe_and_nothing_else() -> None:
    safe_glass()
    found = procedure()
    name = Product.objects.get(code="rice-glass").name
    assert name in [one.name for one in found.stable]
    assert name not in found.others


def test_the_cooling_pages_say_it_though_a_step_states_a_temperature() -> None:
    safe_glass()
    owner = signed_in("owner")
    for address in (
        reverse("recipe-cooling", args=[Recipe.objects.get(code="custard").pk]),
        reverse("product-cooling", args=[Product.objects.get(code="rice-glass").pk]),
    ):
        page = text(owner.get(address))
        assert "Safe at room temperature, as you recorded." in page
        assert "None of its steps states how warm it is" not in page


@pytest.mark.parametrize(
    ("source", "counts"),
    [
        ("Water activity 0.78, measured", True),
        ("Letter of the county health department", True),
        ("Alder food laboratory", True),
        ("My own long experience with it", False),
        ("We have always made it so", False),
        ("7", False),
    ],
)
def test_a_source_has_a_figure_or_names_a_law_a_laboratory_or_an_authority(source: str, *, counts: bool) -> None:
    assert names_a_source(source) is counts


def test_the_estimate_says_that_the_lid_is_on() -> None:
    product = cooling_kitchen_make(**DEEP)
    Product.objects.filter(pk=product.pk).update(covered=True)
    catalog_changed()
    page = text(signed_in("owner").get(reverse("product-cooling", args=[product.pk])))
    assert "Each of these leaves it covered while it cools" in page
