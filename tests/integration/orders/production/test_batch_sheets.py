"""What is made hot for an order, on the prep and cold-room lists: vessels, depth, limits by the clock, verdict."""

import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen, OpenHours
from catalog.rates.models import Station
from catalog.recipes.models import RecipeStep
from catalog.vessels.models import Vessel
from catalog.web import display
from orders.cooling_log.making_days import planned_ends
from orders.planning.planned_batches import NOTHING_PLANNED
from orders.production.batch_presenters import BatchShown, batches_shown
from orders.production.batches import BatchRow, batch_rows
from orders.production.demand import Demand, demand, order_whole
from orders.production.labels import label_file
from orders.production.vessels import vessels_at_once
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
    assert "× Tub, " in one.vessels
    assert "deep" in one.vessels
    assert (one.verdict, one.marked) == ("Does not meet the rule. Needs 6 × Tub, and the kitchen has 4.", True)
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


def test_each_limit_has_a_line_of_its_own_with_its_time_to_write_reading_and_clock_on() -> None:
    """US Food Code 3-501.14(A) has two limits: each is read once, by its own time."""
    batch_kitchen_make(depth_cm=Decimal(1))
    order_make()
    (one,) = shown().cools
    assert [reading.split(" by ")[0] for reading in one.readings] == ["70 °F", "41 °F"]
    page = signed_in("kitchen").get(reverse("sheet-cold"), {"first": DAY.isoformat(), "last": DAY.isoformat()})
    for reading in one.readings:
        assert f"<strong>{reading}:</strong><br>1:&nbsp;____&nbsp;at&nbsp;____" in page.content.decode()


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
    assert "what it cools in is not stated" in shown().missing


@pytest.mark.parametrize("name", ["prep", "cold"])
def test_the_sheets_carry_it(name: str) -> None:
    batch_kitchen_make(ice_bath=True, stir_min=Decimal(10))
    order_make()
    client = signed_in("kitchen")
    page = page_text(client.get(reverse(f"sheet-{name}"), {"first": DAY.isoformat(), "last": DAY.isoformat()}))
    assert "Hot batches: cooling" in page
    assert "an ice bath for about" in page
    assert re.search(r"stirred every 10 min, [^;]+ of ice or more, then cold-room", page)


def test_more_orders_take_no_more_queries(
    django_assert_num_queries: DjangoAssertNumQueries, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    batch_kitchen_make()
    order_make()
    order_make()
    both = found()
    with django_assert_max_num_queries(4):
        batch_rows(both, at=LATER)
    with django_assert_num_queries(2):
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
    assert "Does not meet the rule." in page_text(page)
    grams = shown().grams
    address = f"{reverse('recipe-cooling', args=[custard.pk])}?amount={grams}+g"
    assert address in page.content.decode()
    assert client.get(address).status_code == 200


def test_an_order_without_hot_batches_says_so() -> None:
    batch_kitchen_make()
    RecipeStep.objects.all().delete()
    catalog_changed()
    order = order_make()
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
    (of_order,) = planned_ends(found().orders, book, NOTHING_PLANNED, at=at).values()
    unlengthened = of_order["custard", 0]
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
        assert f"Set in the cold {display.duration(-int(-slow // 1))} until its core is at 41 °F" in page


def test_batches_for_different_moments_are_rows_of_their_own_with_their_own_clocks() -> None:
    custard = batch_kitchen_make(depth_cm=Decimal(1))
    early = order_make(window_start=EVENT.replace(hour=11), window_end=EVENT.replace(hour=12))
    late = order_make(window_start=EVENT.replace(hour=21), window_end=EVENT.replace(hour=22))
    whole = next(row for row in rows() if row.cold.recipe.code == "custard").cold.batches.grams
    type(custard).objects.filter(pk=custard.pk).update(batch_limit=f"{int(whole / 2) + 1} g")
    catalog_changed()
    first, second = (row for row in rows() if row.cold.recipe.code == "custard")
    assert (first.count, second.count) == (1, 1)
    assert early.pk in first.orders
    assert second.orders == {late.pk}
    ((_, sooner),), ((_, later),) = first.times, second.times
    assert sooner is not None
    assert later is not None
    assert sooner < later
    with display.kitchen_display(Kitchen.objects.get()):
        shown_rows = [one for one in batches_shown(rows()) if one.name == "Baked custard"]
    assert shown_rows[0].cools[0].limits != shown_rows[1].cools[0].limits
    assert shown_rows[0].amount.startswith("1 of 2 batches")


def test_batches_that_are_alike_are_one_row_with_a_line_to_write_on_for_each() -> None:
    custard = batch_kitchen_make(depth_cm=Decimal(1))
    order_make()
    type(custard).objects.filter(pk=custard.pk).update(batch_limit="1 kg")
    catalog_changed()
    one = shown()
    assert one.numbers == tuple(range(1, len(one.numbers) + 1))
    # Each of the ten batches fills three tubs, and each tub is measured for itself.
    assert (one.amount[:18], len(one.numbers)) == ("10 batches, about ", 30)
    page = signed_in("kitchen").get(reverse("sheet-prep"), {"first": DAY.isoformat(), "last": DAY.isoformat()})
    assert "2:&nbsp;______" in page.content.decode()


def test_vessels_that_are_full_at_once_are_counted_over_recipes_against_those_there_are() -> None:
    custard = batch_kitchen_make(depth_cm=Decimal(1))
    order_make()
    tub = custard.steps.get(kind="cook").vessel
    paste = type(custard).objects.get(code="paste")
    RecipeStep.objects.create(
        recipe=paste, position=8, name="Roast", kind="cook", leaves_c=Decimal(80), vessel=tub, depth_cm=Decimal(1)
    )
    RecipeStep.objects.create(
        recipe=paste,
        position=9,
        name="Chill",
        kind="chill",
        minutes=Decimal(240),
        station=custard.steps.get(kind="chill").station,
    )
    OpenHours.objects.all().delete()
    catalog_changed()
    whole = found()
    (one,) = vessels_at_once(batch_rows(whole, at=LATER), whole.book)
    each = [(times.cycle.plan.fill, row.count) for row in batch_rows(whole, at=LATER) for times, _ in row.times]
    assert one.name == "Tub"
    assert one.at_once == sum(fill.count * count for fill, count in each if fill is not None)
    assert len(each) == 2
    assert one.short
    client = signed_in("kitchen")
    for name in ("prep", "cold"):
        page = page_text(client.get(reverse(f"sheet-{name}"), {"first": DAY.isoformat(), "last": DAY.isoformat()}))
        assert f"Tub: {one.at_once} at once, but the kitchen has 4." in page


def test_vessels_are_free_again_once_their_batch_is_cold() -> None:
    batch_kitchen_make(depth_cm=Decimal(1))
    order_make(window_start=EVENT.replace(hour=11), window_end=EVENT.replace(hour=12))
    (row,) = [row for row in rows() if row.cold.recipe.code == "custard"]
    ((times, leaves),) = row.times
    assert leaves is not None
    slow = times.trial.cold_slow
    assert slow is not None
    after = replace(row, times=((times, leaves + timedelta(minutes=slow)),))
    during = replace(row, times=((times, leaves + timedelta(minutes=slow / 2)),))
    book = found().book
    (alone,), (apart,), (together,) = (vessels_at_once(some, book) for some in ([row], [row, after], [row, during]))
    assert apart.at_once == alone.at_once
    assert together.at_once == 2 * alone.at_once


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"vessels": 1}, "does not fit into 1 × Tub"),
        ({"air_c": "12"}, "May never get to 41 °F there."),
    ],
)
def test_what_does_not_fit_or_never_gets_cold_is_marked_on_every_sheet(
    change: dict[str, Any], words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    custard = batch_kitchen_make(depth_cm=None)
    order = order_make()
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT - timedelta(hours=8))
    if "vessels" in change:
        custard.steps.filter(kind="cook").update(**change)
        Vessel.objects.filter(name="Tub").update(height_cm=1)
    else:
        Station.objects.filter(code="cold-room").update(**change)
    catalog_changed()
    client, period = signed_in("kitchen"), {"first": DAY.isoformat(), "last": DAY.isoformat()}
    for name in ("sheet-prep", "sheet-cold"):
        assert words in page_text(client.get(reverse(name), period)), name
    addresses = [reverse(name) for name in ("day", "sheet-prep", "sheet-cold", "sheet-handover")]
    for address in (*addresses, reverse("order", args=[order.pk]), reverse("order-batches", args=[order.pk])):
        page = " ".join(client.get(address, period).content.decode().split())
        assert "Cooling, Baked custard" in page, address
        assert "note good" not in page, address
    label = label_file([order_whole(order.pk).get()]).decode()
    assert "It does not fit its vessels" in label or "May never get cold there" in label
