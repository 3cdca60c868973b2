"""`manage.py plan --kitchen`: the kitchen's own problem, its plan, loads by day, and what has no place."""

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen, OpenHours
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.rates.models import Station
from tests.factories import EVENT, line_make, table_make
from tests.integration.orders.approvals.rings import ordered_beside_the_plan
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
DAY = EVENT.date().isoformat()


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    """Say how much goes into oven and cold room, and how many rings there are."""
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
    assert len(placed) + len(found["over"]) == 12


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
