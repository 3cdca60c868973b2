"""A step that heats is not believed to leave colder than anything comes off the heat: that would keep any rule."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.selectors import cooled
from catalog.recipes.models import Recipe
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.selectors import broken
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db
TART = "custard-tart"
UNITS = {TART: 24}


def asked_of(recipe: Recipe, **columns: object) -> str:
    recipe.steps.exclude(kind="chill").update(**columns)
    catalog_changed()
    (found,) = hot_batches(UNITS, book_current())
    return "" if found.missing is None else found.missing.reason.code


@pytest.mark.parametrize("leaves_c", ["4", "15", "22"])
def test_what_is_boiled_and_stated_to_leave_cold_is_asked_about_and_stops(leaves_c: str) -> None:
    custard = batch_kitchen_make(vessels=4)
    assert asked_of(custard, leaves_c=Decimal(leaves_c)) == "off_heat_cold"
    assert [one.why for one in broken(UNITS, book_current()) if one.code == "custard"] == ["off_heat_cold"]
    page = text(signed_in("owner").get(reverse("recipe-cooling", args=[custard.pk])))
    assert "“Boil” heats, and is stated to leave at" in page
    assert "Meets the rule" not in page


def test_what_is_called_so_counts_whatever_its_kind() -> None:
    custard = batch_kitchen_make(vessels=4)
    assert asked_of(custard, name="Cook the custard", kind="mix", leaves_c=Decimal(15)) == "off_heat_cold"
    assert [one.why for one in broken(UNITS, book_current()) if one.code == "custard"] == ["off_heat_cold"]
    assert asked_of(custard, name="Fold in the cooked fruit", kind="mix", leaves_c=Decimal(15)) == ""


def test_what_is_melted_may_leave_lukewarm_and_what_is_baked_may_not() -> None:
    custard = batch_kitchen_make(vessels=4)
    assert asked_of(custard, name="Melt", kind="cook", leaves_c=Decimal(31)) == ""
    assert asked_of(custard, kind="cook", temperature_c=Decimal(85), leaves_c=Decimal(31)) == "off_heat_cold"
    assert asked_of(custard, kind="cook", temperature_c=Decimal(85), leaves_c=Decimal(80)) == ""


def test_a_tart_that_is_stated_to_leave_its_oven_cold_is_asked_about() -> None:
    cooling_kitchen_make(leaves_c="5")
    missing = cooled([TART], book_current())[TART].missing
    assert missing is not None
    assert missing.reason.code == "off_heat_cold"
    (one,) = (one for one in broken(UNITS, book_current()) if one.item.kind == "product")
    assert one.why == "off_heat_cold"
