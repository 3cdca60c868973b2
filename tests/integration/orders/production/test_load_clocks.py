"""Loads that are baked one after the other have each its own clock on the sheets, never one later than its own."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen, OpenHours
from catalog.products.models import Product
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe
from catalog.web import display
from orders.cooling_log.selectors import cooling_marks
from orders.production.batch_presenters import CoolingShown, batches_shown
from orders.production.batches import batch_rows
from orders.production.cold_room import Begun, ColdRow, cold_rows
from orders.production.demand import demand
from orders.production.limit_presenters import limits_words
from orders.production.tasks import tasks
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import LATER, order_make

pytestmark = pytest.mark.django_db
DAY = EVENT.date()
CLOCK = r"\d{1,2}:\d\d [AP]M"


def tarts(load: int, units: int = 24) -> Product:
    """An order of tarts that are baked in loads."""
    tart = cooling_kitchen_make()
    Product.objects.filter(pk=tart.pk).update(load=load)
    catalog_changed()
    order_make(table=table_make(lines=(line_make("custard-tart", units),), extras=()))
    return tart


def row() -> ColdRow:
    found = demand(first=DAY, last=DAY, today=LATER.date())
    (one,) = cold_rows(found, tasks(found), cooling_marks(found.orders, found.whole_book), at=LATER)
    return one


def begun() -> Begun:
    (one,) = row().coolings
    return one


def written() -> str:
    with display.kitchen_display(Kitchen.objects.get()):
        return in_hours(limits_words(begun()))


def in_hours(words: str) -> str:
    """Return words without what they say of working hours and of both clocks, which are tested by themselves."""
    return re.sub(r" \(outside working hours(?:: [^)]*)?\)", "", words).partition(" The times to measure by")[0]


@pytest.mark.parametrize("name", ["sheet-cold", "sheet-prep"])
def test_many_loads_have_the_first_the_step_between_and_the_last(name: str) -> None:
    tarts(load=2, units=18)
    count, ends = begun().loads.count, begun().ends
    assert count >= 9
    assert ends is not None
    page = in_hours(text(signed_in("kitchen").get(f"{reverse(name)}?first={DAY}&last={DAY}")))
    with display.kitchen_display(Kitchen.objects.get()):
        first, last = (display.clock(ends + timedelta(minutes=120 + 50 * at)) for at in (0, count - 1))
    assert f"load 1 of {count}: 70 °F by {first}, 41 °F by" in page
    assert re.search(rf"; then one every 50 min; load {count} of {count}: 70 °F by [^;]*?{last}, 41 °F by ", page), page


def test_a_few_loads_have_each_its_own() -> None:
    tarts(load=12)
    assert begun().loads.count in (2, 3)
    found = re.findall(rf"load (\d) of \d: 70 °F by [^;]*?({CLOCK})", written())
    assert [number for number, _ in found] == [str(at) for at in range(1, begun().loads.count + 1)]
    assert len({clock for _, clock in found}) == len(found)


def test_one_load_has_one_clock() -> None:
    tarts(load=48)
    assert "load" not in written()
    assert re.search(rf"After “Bake”, planned for .*?{CLOCK}: 70 °F by {CLOCK}, 41 °F by [^;]*?{CLOCK}\.$", written())


def test_where_loads_may_stand_side_by_side_the_clock_begins_with_the_first() -> None:
    tart = tarts(load=6)
    tart.steps.filter(kind="bake").update(station=Station.objects.create(code="hob", kind="bench", hourly=Decimal(0)))
    catalog_changed()
    found = written()
    assert re.search(r"70 °F by .*, 41 °F by .*, for every load: the clock begins when the first one leaves\.$", found)


def test_without_a_plan_each_load_counts_from_when_it_leaves() -> None:
    tarts(load=6)
    OpenHours.objects.all().delete()
    catalog_changed()
    assert written() == "After “Bake”: 70 °F within 2 h, 41 °F within 6 h, each load from when it leaves."


def test_what_the_last_load_is_too_late_for_has_to_be_made_earlier() -> None:
    """The plan has one baking time for all loads: the last one is in the cold hours after the first."""
    tarts(load=24)
    assert row().planned_in is None
    Product.objects.update(load=1)
    catalog_changed()
    one = row()
    ends = one.coolings[0].ends
    assert ends is not None
    last = ends + timedelta(minutes=50 * (one.coolings[0].loads.count - 1) + 60)
    assert one.in_by is not None
    assert one.planned_in == last > one.in_by


def custard(**hot: object) -> CoolingShown:
    with display.kitchen_display(Kitchen.objects.get()):
        found = demand(first=DAY, last=DAY, today=LATER.date())
        rows = batch_rows(found, at=LATER)
        (shown,) = (
            each
            for one, each in zip(rows, batches_shown(rows), strict=True)
            if one.cold.recipe.code == "custard" and one.count > 1
        )
        (one,) = shown.cools
        return one


def batched() -> Recipe:
    """Custard in batches of a pound, each boiled by hand for 25 minutes."""
    recipe = batch_kitchen_make(
        depth_cm=Decimal(1), minutes=None, hands_fixed=Decimal(25), hands_each=Decimal(0), role=Role.objects.first()
    )
    Recipe.objects.filter(pk=recipe.pk).update(batch_limit="1 lb")
    catalog_changed()
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    return recipe


def test_batches_that_are_boiled_one_after_the_other_have_each_its_own_limits() -> None:
    batched()
    one = custard()
    assert re.match(rf"batch 1 of \d+: 70 °F by [^;]*?{CLOCK}, 41 °F by ", one.limits), one.limits
    assert "; then one every 25 min; batch " in one.limits
    assert re.match(rf"70 °F, batch 1 by {CLOCK}, batch \d+ by ", one.readings[0]), one.readings
