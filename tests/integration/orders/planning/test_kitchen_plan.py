"""`manage.py plan --kitchen`: the kitchen's own problem, its plan, loads by day, and what has no place."""

import json
from datetime import datetime, timedelta
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen, OpenHours, Vehicle
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.rates.models import Station
from costing.plan.promises import PromiseCheck
from orders.cooling_log.models import CoolingRecord
from orders.planning.plans import plan_days
from orders.planning.selectors import kitchen_days
from tests.factories import BY, EVENT, NOW, line_make, table_make
from tests.integration.orders.approvals.rings import ordered_beside_the_plan
from tests.integration.orders.builders import order_make
from tests.starting import order_start

pytestmark = pytest.mark.django_db
DAY = EVENT.date().isoformat()


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    """Say how much goes into oven and cold room, how many rings and vehicles there are."""
    Vehicle.objects.bulk_create(Vehicle(name=f"Van {number}", position=number) for number in range(12))
    ring = Mold.objects.create(name="Ring, 10 in", shape="round", diameter_cm="25", height_cm="6", owned=1)
    Product.objects.filter(code="walnut-cake").update(mold=ring)
    Station.objects.filter(code="cold-room").update(places=12)
    Station.objects.filter(code="oven").update(places=2)
    catalog_changed()


def printed(**options: Any) -> Any:
    out = StringIO()
    call_command("plan", kitchen=True, stdout=out, **options)
    return json.loads(out.getvalue())


def test_it_prints_problem_plan_and_loads() -> None:
    order = order_make(table=table_make(lines=(line_make("walnut-cake", 1), line_make("custard-tart", 48)), extras=()))
    found = printed(since=EVENT.date(), until=EVENT.date())
    assert [one["order"] for one in found["problem"]["orders"]] == [order.number]
    batches = [one["batch"] for one in found["problem"]["orders"][0]["batches"]]
    assert batches == [
        f"{order.number}/drive",
        f"{order.number}/custard-tart/1",
        f"{order.number}/custard-tart/2",
        f"{order.number}/walnut-cake/1",
    ]
    assert {code for code, place in found["plan"].items() if "component" not in place} == set(batches)
    assert found["problem"]["resources"]["mold:Ring, 10 in"] == {"places": 1, "count": 1}
    assert sum(day.get("station:oven", 0) for day in found["loads"].values()) == 3
    assert found["over"] == []


def test_what_has_no_place_is_named_with_what_is_in_the_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen: twelve cakes for one morning were confirmed, with one ring."""
    ordered_beside_the_plan(monkeypatch)
    for _ in range(12):
        order_make(table=table_make(lines=(line_make("walnut-cake", 1),), extras=()))
    found = printed(since=EVENT.date(), until=EVENT.date())
    assert found["over"]
    assert any(
        reason.get("resource") in ("mold:Ring, 10 in", "hands") for one in found["over"] for reason in one["reasons"]
    )
    placed = {code for code, place in found["plan"].items() if "component" not in place}
    assert len(placed) + len(found["over"]) == 2 * 12


def test_two_deliveries_at_once_take_two_vehicles_and_the_one_without_is_named() -> None:
    """Seen: two weddings at one time did not mention each other, whoever drives."""
    orders = [order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=())) for _ in range(2)]
    found = printed(since=EVENT.date(), until=EVENT.date())
    assert found["over"] == []
    drive = found["plan"][f"{orders[0].number}/drive"]["boundaries"]
    assert [text[11:16] for text in drive] == ["14:15", "16:05"]
    Vehicle.objects.exclude(position=0).delete()
    catalog_changed()
    (over,) = printed(since=EVENT.date(), until=EVENT.date())["over"]
    assert over["batch"].endswith("/drive")
    (reason,) = over["reasons"]
    assert (reason["resource"], reason["needed"], reason["free"]) == ("vehicle", 1, 0)


def test_work_is_done_before_a_departure_that_lies_between_two_slots() -> None:
    """Seen: a drive of 37 minutes left no slot at which anything could leave, and all of it had no place."""
    order = order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()), minutes=Decimal(37))
    found = printed(since=EVENT.date(), until=EVENT.date())
    assert found["over"] == []
    leaves = order.window_start - timedelta(minutes=order.quote.inquiry.travel_minutes)
    ends = datetime.fromisoformat(found["plan"][f"{order.number}/custard-tart/1"]["boundaries"][-1])
    ends = ends.replace(tzinfo=EVENT.tzinfo)
    assert timedelta(0) < leaves - ends < timedelta(minutes=5)


def test_days_without_orders_have_an_empty_plan() -> None:
    found = printed(since=EVENT.date(), until=EVENT.date())
    assert (found["plan"], found["loads"], found["over"]) == ({}, {}, [])


def test_a_kitchen_without_hours_has_nobody_there() -> None:
    order_make(table=table_make(lines=(line_make("walnut-cake", 1),), extras=()))
    OpenHours.objects.all().delete()
    catalog_changed()
    found = printed(since=EVENT.date(), until=EVENT.date())
    assert [one["proved"] for one in found["over"]] == [True]


def test_wrong_days_are_refused_in_a_sentence() -> None:
    with pytest.raises(CommandError, match="--until is before --since"):
        call_command("plan", "--kitchen", "--since", "2027-02-06", "--until", "2027-02-05")
    with pytest.raises(CommandError, match="“soon” is no day"):
        call_command("plan", "--kitchen", "--since", "soon")
    with pytest.raises(CommandError, match="Name a scenario's file"):
        call_command("plan")


def test_nothing_of_a_confirmed_order_is_taken_to_have_been_done_yesterday() -> None:
    """Seen: the work of whatever was not begun lay in the past of the plan, and took no place any more."""
    event = EVENT - timedelta(days=20)
    order_make(
        table=table_make(lines=(line_make("walnut-cake", 1),), extras=()),
        window_start=event,
        at=NOW,
        minutes=Decimal(5),
    )
    kitchen = kitchen_days(event.date(), event.date())
    morning = event.replace(hour=7, minute=0) - timedelta(days=3)
    plain, found = plan_days(kitchen), plan_days(kitchen, now=morning)
    assert found.over == ()
    assert min(place.boundaries[0] for place in found.plan.placed) >= kitchen.minute(morning)
    late = event - timedelta(hours=3)
    begun = plan_days(kitchen, now=late)
    # Too late to begin: then it is taken to be begun, though nobody said so, and its place is its own.
    assert begun.over == ()
    assert begun.plan == plain.plan


def test_what_is_in_production_stays_and_its_log_says_where_it_is() -> None:
    table = table_make(lines=(line_make("walnut-cake", 2),), extras=())
    order = order_make(table=table, minutes=Decimal(5))
    order_start(order_id=order.pk, by=BY, at=NOW)
    began = EVENT.replace(hour=10, minute=0)
    product = Product.objects.get(code="walnut-cake")
    CoolingRecord.objects.create(
        order=order,
        product=product,
        item=product.name,
        started_at=began,
        outcome="met",
        recorded_by=BY,
        recorded_at=NOW,
    )
    kitchen = kitchen_days(EVENT.date(), EVENT.date())
    assert kitchen.begun == {order.number}
    at = began + timedelta(hours=1)
    found = plan_days(kitchen, now=at)
    assert found.over == ()
    batch = next(one for one in found.problem.orders[0].batches if one.begun is not None)
    assert batch.begun is not None
    place = found.plan.by_code()[batch.code]
    assert kitchen.moment(place.boundaries[batch.begun[0]]) == began
    check = PromiseCheck(found.problem, found.plan, stays=[one.code for one in found.problem.orders[0].batches])
    assert set(found.plan.by_code()) <= check.fixed
