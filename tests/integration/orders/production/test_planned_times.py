"""What the kitchen's plan has of confirmed orders is what sheets, pages and clocks show, and not a schedule apart."""

import re
from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.products.models import ProductStep
from catalog.rates.models import Station
from catalog.web import display
from orders.cooling_log.loads_apart import loads_apart
from orders.cooling_log.making_days import planned_ends
from orders.cooling_log.plans import leaves_at, planned_making
from orders.cooling_log.sharing import as_made
from orders.orders.latest_starts import latest_starts
from orders.orders.models import Order
from orders.planning.models import KitchenPlan
from orders.planning.planned_batches import NOTHING_PLANNED, PlannedBatch, planned_batches
from orders.production.batches import batch_rows
from orders.production.cold_room import ColdRow, cold_rows, product_coolings
from orders.production.day import the_day
from orders.production.demand import Demand, demand
from orders.production.hand_over import hand_overs
from orders.production.tasks import tasks
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.orders.approvals.rings import SOON, approve, cakes, rings_make
from tests.integration.orders.builders import LATER, order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
DAY = EVENT.date()
PERIOD = {"first": DAY.isoformat(), "last": DAY.isoformat()}
CAKE = "product:walnut-cake"


@pytest.fixture
def orders(small_kitchen: Kitchen) -> list[Order]:
    """Two tables of four cakes, for one of which the rings are taken on the day that its window alone would have."""
    rings_make()
    return approved(4)


def approved(units: int) -> list[Order]:
    """Approve two tables of so many cakes."""
    for _ in range(2):
        approve(cakes(units))
    return list(Order.objects.order_by("pk"))


def found() -> Demand:
    return demand(first=DAY, last=DAY, today=LATER.date())


def load(order: Order, work: str = CAKE) -> PlannedBatch:
    (one,) = (one for one in planned_batches([order], book_current()).of(order) if one.work == work)
    return one


def alone(order: Order) -> datetime:
    """Return when the cakes leave the oven where the order is looked at alone."""
    return planned_ends([order], book_current(), NOTHING_PLANNED, at=SOON)[order.pk][CAKE, 0]


def sheet(name: str) -> str:
    return page_text(as_one("kitchen").get(reverse(f"sheet-{name}"), PERIOD))


def as_one(role: str) -> Client:
    """Return a client of somebody with a role, who is made once."""
    user = User.objects.filter(username=role).first()
    if user is None:
        return signed_in(role)
    client = Client()
    client.force_login(user)
    return client


def forgotten() -> None:
    """Let the stored plan know of nothing, as where it was made before it was stored, or holds no more."""
    KitchenPlan.objects.update(placed=[])


def test_an_order_whose_plan_is_another_day_than_its_window_alone_would_have_shows_the_plan(
    orders: list[Order],
) -> None:
    """Seen: a batch stood on Friday in the plan and on Saturday on the list for the cold room."""
    second = orders[1]
    steps = load(second).steps
    assert (alone(second).day, steps[0][1].day) == (6, 5)
    ends = as_made(orders, book_current(), at=SOON).of(second.pk)
    assert [ends[CAKE, at] for at in range(3)] == [end for _, end in steps.values()]
    (row,) = [one for one in cold_rows(found(), tasks(found()), {}, at=SOON) if one.order == second]
    assert (row.in_by, row.planned_in) == (steps[1][0], None)
    begins = min(one.begins for one in planned_batches([second], book_current()).of(second))
    assert latest_starts([second], at=SOON)[second.pk].moment == begins
    (coming,) = [one for one in the_day(at=EVENT - timedelta(days=2)).coming if one.order == second]
    assert coming.next_at == begins
    assert planned_making([second], CAKE, book_current(), at=SOON) == load(second).begins


def test_pages_show_it_in_words(orders: list[Order]) -> None:
    steps = load(orders[1]).steps
    begins = latest_starts([orders[1]], at=SOON)[orders[1].pk].moment
    with display.kitchen_display(Kitchen.objects.get()):
        times = [(display.day(begin), display.clock(begin), display.clock(end)) for begin, end in steps.values()]
        cold, first = display.moment(steps[1][0]), display.moment(begins)
    for name, at in (("prep", 1), ("oven", 0)):
        day, begin, end = times[at]
        assert f"{day}: {begin} to {end}" in sheet(name), name
    assert f"{cold} as planned" in sheet("cold")
    page = page_text(as_one("kitchen").get(reverse("order", args=[orders[1].pk])))
    assert f"Start production by {first}" in page
    assert "As the kitchen’s plan has it, beside the other orders." in page


def test_what_has_no_place_yet_says_so_on_every_page(orders: list[Order]) -> None:
    forgotten()
    order = orders[1]
    ends = alone(order)
    assert latest_starts([order], at=SOON)[order.pk].unplanned
    with display.kitchen_display(Kitchen.objects.get()):
        until = f"{order.number}: not planned yet, done by {display.moment(ends)} at the latest"
    assert until in sheet("oven")
    for name in ("prep", "oven", "cold"):
        assert "not planned yet" in sheet(name), name
    assert "as planned" not in sheet("cold").replace("When, as planned", "")
    page = page_text(as_one("kitchen").get(reverse("order", args=[order.pk])))
    assert "Not planned yet: counted back from the hand-over. Other orders may need an earlier start." in page


def test_the_day_marks_what_is_not_planned_yet(orders: list[Order], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT - timedelta(days=1))
    assert "not planned yet" not in page_text(as_one("kitchen").get(reverse("day")))
    forgotten()
    assert "not planned yet: start production by" in page_text(as_one("kitchen").get(reverse("day")))


def test_a_batch_for_two_orders_is_on_a_sheet_once(small_kitchen: Kitchen) -> None:
    rings_make(hold=0)
    Station.objects.filter(code="oven").update(places=1)
    ProductStep.objects.filter(product__code="walnut-cake", kind="chill").update(hold_max=60)
    catalog_changed()
    first, second = approved(2)
    assert load(first) == load(second)
    assert load(first).quotes == {first.quote_id, second.quote_id}
    begin, end = load(first).steps[0]
    with display.kitchen_display(Kitchen.objects.get()):
        words = f"{display.clock(begin)} to {display.clock(end)}"
    assert sheet("oven").count(words) == 1
    assert planned_batches([first], book_current()) == planned_batches([first, second], book_current())


def test_one_departure_everywhere(orders: list[Order]) -> None:
    for order in orders:
        leaves = leaves_at(order)
        (handed,) = [one for one in hand_overs([order]) if one.order == order]
        (row,) = [one for one in cold_rows(found(), tasks(found()), {}, at=SOON) if one.order == order]
        stored = [one["at"][-1] for one in KitchenPlan.objects.get().placed if one["of"] == order.quote_id]
        minutes = int(leaves.timestamp()) // 60
        assert (handed.leaves, row.leaves) == (leaves, leaves)
        assert all(0 <= minutes - end < 5 for end in stored if end <= minutes), "the grid of the plan"
        assert any(end <= minutes for end in stored)


def test_a_catalog_that_changed_so_that_the_plan_does_not_hold_any_more_leaves_it_unplanned(
    orders: list[Order],
) -> None:
    ProductStep.objects.filter(product__code="walnut-cake", kind="chill").update(minutes=Decimal(700))
    catalog_changed()
    found = planned_batches(orders, book_current())
    assert found.unplaced == {order.quote_id for order in orders}
    assert found.batches == ()


@pytest.fixture
def tarts() -> list[Order]:
    """Two tables of tarts with a custard that is boiled in two batches each, and one place in the oven."""
    batch_kitchen_make(depth_cm=Decimal(1))
    Station.objects.filter(code="oven").update(places=1)
    catalog_changed()
    table = table_make(lines=(line_make("custard-tart", 48),), extras=())
    return [order_make(table=table) for _ in range(2)]


def test_each_hot_batch_of_the_plan_has_its_own_clock(tarts: list[Order]) -> None:
    plan = planned_batches(tarts, book_current())
    ends = [one.steps[0][1] for one in plan.batches if one.work == "recipe:custard"]
    assert len(set(ends)) == 4
    rows = [row for row in batch_rows(found(), at=LATER) if row.cold.recipe.code == "custard"]
    assert [moment for row in rows for _, moment in row.times] == ends
    assert [len(row.orders) for row in rows] == [1, 1, 1, 1]
    with display.kitchen_display(Kitchen.objects.get()):
        words = [f"off the heat, as planned, {display.moment(end)}" for end in ends]
    assert all(one in sheet("cold") for one in words)
    assert re.search(r"not planned yet", sheet("cold")) is None


def test_each_load_cools_from_when_the_plan_has_it_leave_the_oven(tarts: list[Order]) -> None:
    plan = planned_batches(tarts, book_current())
    for order in tarts:
        loads = [one.steps[1][1] for one in plan.of(order) if one.work == "product:custard-tart"]
        for begun in product_coolings(found(), at=LATER)[order.pk, "custard-tart"]:
            assert begun.ends is not None
            assert [begun.ends + timedelta(minutes=each) for each in begun.loads.each()] == sorted(loads)


def test_what_is_measured_load_by_load_is_by_the_times_of_the_plan(tarts: list[Order]) -> None:
    plan = planned_batches(tarts, book_current())
    for order in tarts:
        apart = loads_apart(order, book_current())
        for work, at in (("recipe:custard", 0), ("product:custard-tart", 1)):
            ends = plan.ends(order)[work, at]
            assert (apart[work].first, apart[work].last) == (ends[0], ends[-1])


def into_the_cold(row: ColdRow, orders: list[Order]) -> tuple[list[datetime], list[datetime]]:
    """Return when each load of a row has rested an hour after the oven, and when the plan has it go into the cold."""
    (begun,) = row.coolings
    assert begun.ends is not None
    rested = [begun.ends + timedelta(minutes=60 + each) for each in begun.loads.each()]
    batches = [one for one in planned_batches(orders, book_current()).of(row.order) if one.work.startswith("product:")]
    return rested, sorted(one.steps[row.chill.first or 0][0] for one in batches)


def test_what_comes_from_the_heat_is_planned_into_the_cold_at_once(tarts: list[Order]) -> None:
    """A plan let it stand for up to an hour where nobody had stated that it may wait."""
    for row in cold_rows(found(), tasks(found()), {}, at=LATER):
        rested, planned = into_the_cold(row, tarts)
        assert planned == rested
        assert (row.sooner, row.in_plan) == (False, tuple(planned))


def test_it_goes_in_at_once_too_where_it_may_wait_by_its_steps() -> None:
    """The rule was judged without that wait."""
    batch_kitchen_make(depth_cm=Decimal(1))
    Station.objects.filter(code="oven").update(places=1)
    ProductStep.objects.filter(kind="rest").update(hold_max=60)
    catalog_changed()
    table = table_make(lines=(line_make("custard-tart", 48),), extras=())
    orders = [order_make(table=table) for _ in range(2)]
    for row in cold_rows(found(), tasks(found()), {}, at=LATER):
        rested, planned = into_the_cold(row, orders)
        assert row.sooner is (planned != rested)
        assert row.in_plan == tuple(map(min, planned, rested))


def test_more_orders_take_no_more_queries(orders: list[Order]) -> None:
    counts = []
    for some in (orders[:1], orders):
        rows = list(
            Order.objects.filter(pk__in=[one.pk for one in some])
            .select_related("quote__inquiry")
            .prefetch_related("lines__product")
        )
        book = book_current()
        planned_batches(rows, book)  # what a Book is asked once is known afterwards
        with CaptureQueriesContext(connection) as queries:
            planned_batches(rows, book)
        counts.append(len(queries))
    assert counts == [1, 1]
