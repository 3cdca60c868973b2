"""What freezes at its rim before its core is cold gets cold somewhere else first: nobody sets a freezer warmer."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from catalog.rates.models import Station
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
CAKE = {"diameter_cm": "25", "height_cm": "5"}


def shown(owner: Client, product: Product) -> str:
    return text(owner.get(reverse("product-cooling", args=[product.pk])))


def freezer(**shape: str) -> Product:
    """A cake that is frozen straight from the oven, in a freezer at -18 °C."""
    cake = cooling_kitchen_make(air_c="-18", **(CAKE | shape))
    Station.objects.filter(code="cold-room").update(kind="freezer", name="Chest freezer")
    cake.steps.filter(name="Set in the cold").update(name="Freeze solid", kind="freeze")
    catalog_changed()
    return cake


def refrigerator(air_c: str = "3", air: str = "still") -> None:
    Station.objects.create(code="walk-in", name="Walk-in", kind="refrigerator", air_c=Decimal(air_c), air=air, hourly=1)
    catalog_changed()


def test_it_cools_in_the_kitchens_refrigerator_before_it_is_frozen() -> None:
    cake, owner = freezer(), signed_in("owner")
    refrigerator()
    page = shown(owner, cake)
    assert "Cool it in Walk-in until its core is at 41 °F, about" in page
    assert "and only then begin “Freeze solid”." in page
    assert "Set the air of" not in page


def test_without_a_place_it_says_which_is_missing() -> None:
    page = shown(signed_in("owner"), freezer())
    assert "Cool it in a refrigerator or a blast chiller until its core is at 41 °F, and only then begin" in page
    assert "None is entered in which it would get that cold." in page


def test_one_that_meets_the_rule_goes_before_one_that_does_not() -> None:
    cake, owner = freezer(diameter_cm="13", height_cm="3"), signed_in("owner")
    refrigerator()
    Station.objects.create(
        code="blast", name="Blast chiller", kind="refrigerator", air_c=Decimal(1), air="blast", hourly=1
    )
    catalog_changed()
    page = shown(owner, cake)
    assert "Cool it in Blast chiller until its core is at 41 °F" in page
    assert "That meets the rule." in page


def test_a_refrigerator_that_is_too_cold_names_the_other_place_too() -> None:
    cake, owner = cooling_kitchen_make(air_c="-18", **CAKE), signed_in("owner")
    refrigerator()
    page = shown(owner, cake)
    assert "or cool it in Walk-in instead until its core is at 41 °F, about" in page


def test_what_is_cold_in_time_and_is_meant_to_freeze_need_not_end_before() -> None:
    tart = cooling_kitchen_make(air_c="-4", diameter_cm="13", height_cm="1")
    owner = signed_in("owner")
    assert "and keep it in a refrigerator then" in shown(owner, tart)
    Station.objects.filter(code="cold-room").update(kind="freezer")
    tart.steps.filter(name="Set in the cold").update(kind="freeze")
    catalog_changed()
    page = shown(owner, tart)
    assert "Meets the rule." in page
    assert "before the outside freezes" not in page
