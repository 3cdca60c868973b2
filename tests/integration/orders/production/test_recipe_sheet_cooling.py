"""The recipe sheet says of a hot batch what the cold-room list says: vessel, depth, the longer time, the verdict."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


def test_the_recipe_sheet_has_vessel_depth_the_longer_time_and_the_verdict() -> None:
    batch_kitchen_make(profile={"height_cm": "1.2"})
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    period = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
    client = signed_in("kitchen")
    cold = " ".join(client.get(reverse("sheet-cold"), period).content.decode().split())
    sheet = " ".join(client.get(reverse("sheet-recipes"), period).content.decode().split())
    assert "2 × Tub, " in sheet
    assert " deep" in sheet
    assert "<strong>Does not meet the rule.</strong>" in sheet
    lasts = sheet.split("at least ")[1].split(", until its core is at 41 °F")[0]
    assert lasts in cold
    assert "Cool to 70 °F within 2 h, 41 °F within 6 h after leaving the heat." in sheet


def test_it_has_the_wait_after_a_hot_step() -> None:
    custard = batch_kitchen_make(wait_min="300")
    assert f"{custard.steps.get(name='Boil')}, then wait at least 5 h" in sheet()


def test_it_says_of_what_stands_out_for_too_long_that_its_time_is_used_up() -> None:
    custard = batch_kitchen_make(depth_cm="2", chill_min="1200")
    custard.steps.create(position=10, kind="rest", name="Stand", minutes="600")
    catalog_changed()
    found = sheet()
    assert "<strong>Its time out of the cold is used up.</strong> Its own steps have it out" in found
    assert "How it cools is not known." not in found


def test_the_prep_list_says_from_when_its_times_and_the_verdict_count() -> None:
    batch_kitchen_make()
    counts = "The times to measure by count from the heat, to be safe; the verdict counts from 135 °F."
    assert counts in sheet("sheet-prep")


def sheet(name: str = "sheet-recipes") -> str:
    """Return a sheet of an order of tarts."""
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    period = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
    return " ".join(signed_in("kitchen").get(reverse(name), period).content.decode().split())
