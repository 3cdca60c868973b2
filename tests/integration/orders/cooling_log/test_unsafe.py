"""An order to come that an edit of the catalog made unsafe is named: on the day, and where the edit is saved."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.recipes.models import Recipe, RecipeStep
from orders.cooling_log.unsafe import orders_unsafe
from orders.cooling_log.unsafe_presenters import unsafe_words
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def custard() -> Recipe:
    """A custard in a confirmed order, by which nothing was unsafe when it was approved."""
    custard = batch_kitchen_make(depth_cm=Decimal(2), chill_min="1200")
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    return custard


def stand(custard: Recipe) -> None:
    RecipeStep.objects.create(recipe=custard, position=10, kind="rest", name="Stand", minutes=Decimal(1200))
    catalog_changed()


def test_the_day_names_it(custard: Recipe) -> None:
    client = signed_in("owner")
    assert "Cooling not settled" not in text(client.get(reverse("day")))
    assert orders_unsafe() == []
    stand(custard)
    page = text(client.get(reverse("day")))
    assert "Cooling not settled" in page
    assert "O-00001 As the catalog is now, how it cools is not settled." in page


def test_what_is_saved_names_it(custard: Recipe) -> None:
    assert unsafe_words("recipe", "custard") == ""
    stand(custard)
    words = "As it is now, cooling is not settled for order O-00001. Settle it before it is made."
    assert unsafe_words("recipe", "custard") == words
    assert unsafe_words("recipe", "sponge") == ""
    assert unsafe_words("product", "custard-tart") == ""
