"""A measurement settles only the cooling it measured: a second heating, or a stay out of the cold, has its own."""

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from catalog.recipes.models import Recipe, RecipeStep
from catalog.records.versions import version_mark
from orders.cooling_log.models import CoolingRecord, readings_written
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from orders.quotes.models import CoolingOverride
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import BY, NOW, line_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, read
from tests.integration.orders.register.test_register import signed_in
from tests.starting import order_start

pytestmark = pytest.mark.django_db
STANDS = {"name": "Stand on the bench", "kind": "rest", "minutes": Decimal(1200)}
REWARM = {"name": "Rewarm over the stove", "kind": "cook"}


def ordered(step: dict[str, Any], **hot: Any) -> Order:
    """Return an order in the making of a custard that goes through a step after it was boiled and cold."""
    hot = {"depth_cm": Decimal(2), **hot}
    custard = batch_kitchen_make(chill_min="1200", **hot)
    tart = Product.objects.get(code="custard-tart")
    tart.steps.update(leaves_c=None)
    tart.steps.filter(kind="bake").update(kind="fill", temperature_c=None, station=None)
    cold = custard.steps.get(kind="chill").station
    RecipeStep.objects.create(recipe=custard, position=10, **step)
    RecipeStep.objects.create(
        recipe=custard, position=11, name="Back into the cold", kind="chill", station=cold, minutes=60
    )
    catalog_changed()
    order = order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()), hand_over="pickup")
    order_start(order_id=order.pk, by=BY, at=NOW)
    return Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get(pk=order.pk)


def custard() -> Item:
    return Item("recipe", Recipe.objects.get(code="custard").pk)


def mark(order: Order) -> CoolingMark:
    return cooling_marks([order])[order.pk][custard()]


def measured(order: Order, *readings: Any, **facts: Any) -> CoolingRecord:
    data = RecordData(custard(), readings, "met", **{"started_at": START, "part": 0, **facts})
    return cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)


def boiled(order: Order) -> None:
    """Record how it cooled after its first heating, as it was written down before."""
    CoolingRecord.objects.create(
        order=order,
        recipe_id=custard().pk,
        item="Baked custard",
        readings=readings_written([read(1, 70), read(5, 41)]),
        outcome="met",
        steps_mark=mark(order).steps_mark,
        recorded_by="tomas",
        recorded_at=AFTER,
    )


@pytest.mark.parametrize(("step", "why"), [(STANDS, "time_out_used"), (REWARM, "not_said")])
def test_a_reading_of_the_first_cooling_does_not_settle_the_step_at_fault(step: dict[str, Any], why: str) -> None:
    order = ordered(step)
    assert mark(order).why == why
    assert mark(order).state == "owed"
    boiled(order)
    assert mark(order).state == "owed"
    assert not mark(order).settled


@pytest.mark.parametrize("step", [STANDS, REWARM])
def test_its_own_reading_settles_it(step: dict[str, Any]) -> None:
    order = ordered(step)
    page = text(signed_in("kitchen").get(reverse("order-cooling", args=[order.pk])))
    assert f"For “{step['name']}”:" in page
    measured(order, read(1, 70), read(5, 41))
    assert mark(order).state == "met"


@pytest.mark.parametrize("step", [STANDS, REWARM])
def test_the_reason_asks_for_a_reading_after_that_step(step: dict[str, Any]) -> None:
    ordered(step)
    override = CoolingOverride.objects.get(recipe__code="custard")
    assert f"after “{step['name']}”. If it is too warm then" in override.measured
    assert "after it leaves the heat" not in override.measured


def test_what_breaks_its_rule_and_stands_out_too_is_measured_twice() -> None:
    order = ordered(STANDS, depth_cm=None)
    assert mark(order).why == ""
    measured(order, read(1, 70), read(5, 41))
    assert mark(order).state == "owed"
    measured(order, read(6, 40), started_at=None)
    assert mark(order).state == "met"
    assert version_mark([mark(order).steps_mark, STANDS["name"]]) == CoolingRecord.objects.latest("pk").steps_mark
