"""The wait stated after a step that leaves hot is time in the room, before the stages that follow."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_cooled
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.selectors import cooled
from catalog.cooling.stages import CoolingCycle
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from costing.chilling import ICE_BATH, trial
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db
TART = "custard-tart"
WAIT = Decimal(300)


def batch_make(**hot: Any) -> Recipe:
    """Make the kitchen whose custard is cold in time where nothing waits."""
    return batch_kitchen_make(**({"depth_cm": Decimal(1)} | hot))


def batch() -> CoolingCycle:
    book = book_current()
    (only,) = batch_cooled(book.recipe("custard"), Fraction(1200), RecipeMixtures(book)).cycles
    return only


def test_a_batch_stands_in_the_room_for_it() -> None:
    batch_make()
    assert trial(batch().plan).verdict == "kept"
    wait_set(WAIT)
    waits = batch()
    first = waits.stages[0]
    assert (first.is_wait, first.minutes, first.air_movement) == (True, 300.0, "room")
    assert trial(waits.plan).verdict == "not kept"


def wait_set(minutes: Decimal | None) -> None:
    Recipe.objects.get(code="custard").steps.filter(leaves_c__isnull=False).update(wait_min=minutes)
    catalog_changed()


def test_it_follows_the_ice_bath() -> None:
    batch_make(ice_bath=True, bath_to_c=Decimal(21), wait_min=Decimal(20))
    first, second, _ = batch().stages
    assert first.air_movement == ICE_BATH
    assert (second.is_wait, second.minutes) == (True, 20.0)


def test_a_product_stands_in_the_room_for_it() -> None:
    cooling_kitchen_make()
    before = product().plan
    Product.objects.get(code=TART).steps.filter(leaves_c__isnull=False).update(wait_min=WAIT)
    catalog_changed()
    after = product()
    assert (after.stages[0].is_wait, after.stages[0].minutes) == (True, 300.0)
    assert after.plan.minutes == before.minutes + 300
    assert trial(after.plan).verdict == "not kept"


def product() -> CoolingCycle:
    (only,) = cooled([TART], book_current())[TART].cycles
    return only


def test_the_page_names_it_as_a_wait() -> None:
    custard = batch_make(wait_min=WAIT)
    page = text(signed_in("owner").get(reverse("recipe-cooling", args=[custard.pk])))
    assert "1 wait after Boil the kitchen" in page
