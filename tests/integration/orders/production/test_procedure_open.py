"""The written procedure: each layer's temperature, and that it cannot be used while a step is not answered for."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.recipes.models import Recipe, RecipeStep
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import line_make, table_make
from tests.integration.catalog.cooling.test_contents import taking
from tests.integration.catalog.cooling.test_one_verdict import custard as custard  # the fixture
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
HEAD = "This procedure cannot be used until these are answered."
OPEN = "Baked custard, at “Pass through a sieve”: not answered yet whether anything heats it."
BY_WORD = "Nothing heats Baked custard at these steps, by your word: “Pass through a sieve”."


def shown(cook: Client) -> str:
    return text(cook.get(reverse("procedure")))


def test_of_two_layers_the_temperature_of_each_is_written() -> None:
    cooling_kitchen_make()
    taking("bake", "custard", takes_c=Decimal(5), takes_as="layer")
    assert "After “Bake” at 41 °F in the top layer and 176 °F below it (round" in shown(signed_in("kitchen"))


def test_a_step_is_not_answered_until_somebody_did_and_the_head_says_that_it_cannot_be_used(custard: Recipe) -> None:
    cook = signed_in("kitchen")
    assert HEAD not in shown(cook)
    RecipeStep.objects.create(recipe=custard, position=10, name="Pass through a sieve", kind="mix")
    catalog_changed()
    page = shown(cook)
    assert page.index(HEAD) < page.index(OPEN) < page.index("What has to be in writing")
    assert BY_WORD not in page
    # The review of a quote asks, and its owner answers.
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    page = shown(cook)
    assert HEAD not in page
    assert BY_WORD in page
