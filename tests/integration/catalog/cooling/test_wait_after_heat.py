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


def test_with_an_ice_bath_it_is_the_stay_in_that() -> None:
    batch_make(ice_bath=True, wait_min=Decimal(20))
    first, second = batch().stages
    assert (first.air_movement, first.minutes) == (ICE_BATH, 20.0)
    assert second.step.kind == "chill"


@pytest.mark.parametrize("end", [{"bath_to_c": Decimal(21)}, {"bath_min": Decimal(15)}])
def test_the_bath_lasts_at_least_as_long_where_its_end_is_stated_too(end: dict[str, Decimal]) -> None:
    batch_make(ice_bath=True, wait_min=Decimal(300), **end)
    first, second = batch().stages
    assert (first.air_movement, first.minutes) == (ICE_BATH, 300.0)
    assert not second.is_wait


def test_a_bath_that_ends_before_it_is_cold_is_named_where_nothing_chills_it_after() -> None:
    custard = batch_make(ice_bath=True, wait_min=Decimal(5))
    custard.steps.filter(kind="chill").delete()
    catalog_changed()
    book = book_current()
    missing = batch_cooled(book.recipe("custard"), Fraction(1200), RecipeMixtures(book)).missing
    assert missing is not None
    assert missing.reason.code == "bath_ends_early"


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
