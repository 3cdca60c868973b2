"""What is made hot for an order, on the prep and cold-room lists: vessels, depth, limits by the clock, verdict."""

from decimal import Decimal

import pytest
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen, OpenHours
from catalog.recipes.models import RecipeStep
from catalog.web import display
from orders.production.batch_presenters import BatchShown, batches_shown
from orders.production.batches import BatchRow, batch_rows, planned_ends
from orders.production.demand import Demand, demand
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.orders.builders import LATER, order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
DAY = EVENT.date()


def found() -> Demand:
    return demand(first=DAY, last=DAY, today=LATER.date())


def rows() -> list[BatchRow]:
    return batch_rows(found(), at=LATER)


def shown(code: str = "custard") -> BatchShown:
    with display.kitchen_display(Kitchen.objects.get()):
        (one,) = [each for row, each in zip(rows(), batches_shown(rows()), strict=True) if row.cold.recipe.code == code]
        return one


def test_a_batch_has_its_vessels_its_depth_and_the_verdict() -> None:
    batch_kitchen_make(depth_cm=Decimal(4))
    order_make()
    (one,) = shown().cools
    assert "× Tub: " in one.vessels
    assert "deep" in one.vessels
    assert (one.verdict, one.marked) == ("Does not keep the rule.", True)
    assert one.places == "cold-room"


def test_both_limits_are_given_by_the_clock_from_the_planned_end_of_the_step() -> None:
    batch_kitchen_make(depth_cm=Decimal(1))
    order_make()
    (row,) = [row for row in rows() if row.cold.recipe.code == "custard"]
    ((_, ends),) = row.times
    assert ends is not None
    (one,) = shown().cools
    with display.kitchen_display(Kitchen.objects.get()):
        assert one.leaves == display.moment(ends)
    hours = [int(part.split(":")[0]) for part in one.limits.split("by ")[1:] if ":" in part]
    assert one.limits.startswith("70 °F by ")
    assert ", 41 °F by " in one.limits
    assert len(hours) >= 1


def test_without_a_plan_the_limits_are_given_from_leaving_the_heat() -> None:
    batch_kitchen_make(depth_cm=Decimal(1))
    order_make()
    OpenHours.objects.all().delete()
    catalog_changed()
    (one,) = shown().cools
    assert (one.leaves, one.limits) == ("", "70 °F within 2 h, 41 °F within 6 h")


def test_what_nobody_said_stands_there_too() -> None:
    batch_kitchen_make(leaves_c=None, vessel=None)
    order_make()
    assert "you have not said in what it cools" in shown().missing


@pytest.mark.parametrize("name", ["prep", "cold"])
def test_the_sheets_carry_it(name: str) -> None:
    batch_kitchen_make(ice_bath=True, stir_min=Decimal(10))
    order_make()
    client = signed_in("kitchen")
    page = page_text(client.get(reverse(f"sheet-{name}"), {"first": DAY.isoformat(), "last": DAY.isoformat()}))
    assert "Made hot: how it cools" in page
    assert "an ice bath for about" in page
    assert "stirred every 10 min, then cold-room" in page


def test_more_orders_take_no_more_queries(
    django_assert_num_queries: DjangoAssertNumQueries, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    batch_kitchen_make()
    order_make()
    order_make()
    both = found()
    with django_assert_max_num_queries(2):
        batch_rows(both, at=LATER)
    with django_assert_num_queries(1):
        batch_rows(both, at=LATER)


def test_a_step_that_several_orders_need_has_the_earliest_of_their_times() -> None:
    batch_kitchen_make()
    early = order_make(window_start=EVENT.replace(hour=15), window_end=EVENT.replace(hour=16))
    order_make(window_start=EVENT.replace(hour=20), window_end=EVENT.replace(hour=21))
    together = [ends for row in rows() for _, ends in row.times]
    alone = Demand(**{**_parts(found()), "orders": [early]})
    assert together == [ends for row in batch_rows(alone, at=LATER) for _, ends in row.times]


def _parts(whole: Demand) -> dict[str, object]:
    return {name: getattr(whole, name) for name in whole.__dataclass_fields__}


def test_the_step_that_leaves_hot_is_found_among_the_steps() -> None:
    batch_kitchen_make()
    step = RecipeStep.objects.get(recipe__code="custard", leaves_c__isnull=False)
    RecipeStep.objects.create(recipe=step.recipe, position=0, name="Weigh", kind="prepare")
    RecipeStep.objects.filter(pk=step.pk).update(position=1)
    catalog_changed()
    order_make()
    (row,) = [row for row in rows() if row.cold.recipe.code == "custard"]
    assert row.times[0][1] is not None


def test_an_orders_page_leads_to_its_batches_and_each_to_its_page_at_the_orders_size() -> None:
    custard = batch_kitchen_make()
    order = order_make()
    client = signed_in("owner")
    assert reverse("order-batches", args=[order.pk]) in client.get(reverse("order", args=[order.pk])).content.decode()
    page = client.get(reverse("order-batches", args=[order.pk]))
    assert "Does not keep the rule." in page_text(page)
    grams = shown().grams
    address = f"{reverse('recipe-cooling', args=[custard.pk])}?amount={grams}+g"
    assert address in page.content.decode()
    assert client.get(address).status_code == 200


def test_an_order_without_hot_batches_says_so() -> None:
    batch_kitchen_make()
    order = order_make()
    RecipeStep.objects.all().delete()
    catalog_changed()
    page = signed_in("owner").get(reverse("order-batches", args=[order.pk]))
    assert "Nothing in this order is made hot as a batch." in page_text(page)


def test_the_plan_waits_for_a_batch_as_long_as_it_cools_at_the_slow_end() -> None:
    batch_kitchen_make(depth_cm=Decimal(1), chill_min="10")
    order_make()
    (row,) = [row for row in rows() if row.cold.recipe.code == "custard"]
    ((times, sooner),) = row.times
    RecipeStep.objects.filter(recipe__code="custard").update(leaves_c=None, vessel=None, depth_cm=None)
    catalog_changed()
    book, at = book_current(), LATER
    unlengthened = planned_ends(found().orders, book, at=at)["custard", 0]
    assert sooner is not None
    assert times.trial.cold_slow is not None
    waits = (unlengthened - sooner).total_seconds() / 60
    # A batch may be made earlier still, so that somebody is at work when it is made.
    assert waits >= times.trial.cold_slow - 11


def test_a_component_chills_as_long_as_it_cools_where_that_is_longer() -> None:
    batch_kitchen_make(depth_cm=Decimal(1), chill_min="20")
    order_make()
    (row,) = [row for row in rows() if row.cold.recipe.code == "custard"]
    slow = row.times[0][0].trial.cold_slow
    assert slow is not None
    page = page_text(
        signed_in("kitchen").get(reverse("sheet-cold"), {"first": DAY.isoformat(), "last": DAY.isoformat()})
    )
    with display.kitchen_display(Kitchen.objects.get()):
        assert f"Set in the cold {display.duration(-int(-slow // 1))} until its middle is at 41 °F" in page
