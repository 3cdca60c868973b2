"""A cake's line on the sheets has its limits by the clock, and the latest time counts the work after the cold too."""

import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.selectors import cold_times
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Role
from orders.cooling_log.making_days import planned_ends
from orders.cooling_log.plans import leaves_at
from orders.cooling_log.selectors import cooling_marks
from orders.planning.planned_batches import NOTHING_PLANNED
from orders.production.batch_presenters import product_measured, product_verdict
from orders.production.cold_room import ColdRow, cold_rows
from orders.production.demand import demand
from orders.production.tasks import tasks
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import LATER, order_make

pytestmark = pytest.mark.django_db
DAY = EVENT.date()


def tarts(**facts: str) -> Product:
    tart = cooling_kitchen_make(**facts)
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    return tart


def row() -> ColdRow:
    found = demand(first=DAY, last=DAY, today=LATER.date())
    (one,) = cold_rows(found, tasks(found), cooling_marks(found.orders, found.whole_book), at=LATER)
    return one


@pytest.mark.parametrize("name", ["sheet-cold", "sheet-prep"])
def test_a_failing_cake_has_both_limits_by_the_clock(name: str) -> None:
    tarts(**DEEP)
    page = text(signed_in("kitchen").get(f"{reverse(name)}?first={DAY}&last={DAY}"))
    clock = r"[^,.]*?\d{1,2}:\d\d [AP]M"
    hours = r"(?: \(outside working hours(?:: [^)]*)?\))?"
    assert re.search(
        rf"After “Bake”, planned for .*?: 70 °F by {clock}, 41 °F by {clock}{hours}\.",
        page,
    ), page


def test_the_limits_count_from_the_planned_end_of_the_step() -> None:
    tarts(**DEEP)
    (begun,) = row().coolings
    cycle, begins = begun.cycle, begun.ends
    assert str(cycle.after) == "Bake"
    assert begins is not None
    assert begins < leaves_at(row().order) - timedelta(hours=8)
    assert timezone.is_aware(begins)


def test_the_latest_time_counts_the_work_after_it_was_in_the_cold() -> None:
    tart = tarts()
    tart.steps.update(leaves_c=None)
    catalog_changed()
    before = row().in_by
    assert before is not None
    ProductStep.objects.create(
        product=tart,
        position=30,
        name="Fill and close",
        kind="fill",
        role=Role.objects.first(),
        hands_fixed=Decimal(10),
        hands_each=Decimal(2),
    )
    catalog_changed()
    one, found = row(), demand(first=DAY, last=DAY, today=LATER.date())
    made = next(line.made for code, line in found.lines if code == "custard-tart")
    loads = next(line.loads for code, line in found.lines if code == "custard-tart")
    work = Fraction(10 * loads + 2 * made)
    assert one.in_by == before - timedelta(minutes=float(work))


def test_what_was_hot_goes_in_when_its_steps_say_so_though_the_departure_leaves_time() -> None:
    tarts()
    one = row()
    begins = one.coolings[0].ends
    assert begins is not None
    into_cold = begins + timedelta(hours=1)  # an hour in the room, by its steps
    assert one.leaves - timedelta(minutes=float(one.chill.least)) > into_cold
    assert (one.in_by, one.planned_in) == (into_cold, None)


def test_the_plan_and_the_time_into_the_cold_count_from_one_departure() -> None:
    """The plan was for the last minute of the window, and the time into the cold for its first."""
    tart = tarts()
    tart.steps.update(leaves_c=None)
    catalog_changed()
    one, found = row(), demand(first=DAY, last=DAY, today=LATER.date())
    assert one.order.window_end > one.order.window_start
    ends = planned_ends(found.orders, found.book, NOTHING_PLANNED, at=LATER)[one.order.pk]
    assert max(ends.values()) <= one.leaves
    assert one.planned_in is None


def test_what_is_not_made_by_then_as_planned_has_to_be_made_earlier(monkeypatch: pytest.MonkeyPatch) -> None:
    tarts()
    begins = row().coolings[0].ends
    assert begins is not None
    monkeypatch.setattr("orders.production.cold_room._in_by", lambda *_: begins - timedelta(hours=1))
    one = row()
    assert (one.in_by, one.planned_in) == (begins - timedelta(hours=1), begins + timedelta(hours=1))
    page = text(signed_in("kitchen").get(f"{reverse('sheet-cold')}?first={DAY}&last={DAY}"))
    assert re.search(r"Has to be made earlier: in the cold by .*? 5:00 PM, planned at .*? 7:00 PM", page), page


def test_a_warm_layer_on_a_cold_cake_has_its_limit_too() -> None:
    tart = tarts()
    station = tart.steps.get(kind="chill").station
    tart.steps.filter(kind="bake").update(takes=["paste"])
    warm = {"leaves_c": Decimal(4), "takes": ["custard"], "takes_c": Decimal(20), "takes_as": "layer"}
    ProductStep.objects.create(product=tart, position=20, name="Fill the shell", kind="fill", **warm)
    ProductStep.objects.create(product=tart, position=21, name="Set", kind="chill", minutes=600, station=station)
    catalog_changed()
    page = text(signed_in("kitchen").get(f"{reverse('sheet-cold')}?first={DAY}&last={DAY}"))
    assert re.search(r"After “Fill the shell”.*?: 41 °F (by|within) ", page), page
    procedure = text(signed_in("owner").get(reverse("procedure")))
    assert "41 °F within 4 h after “Fill the shell”" in procedure


@pytest.mark.parametrize("name", ["sheet-cold", "sheet-prep"])
def test_a_products_row_has_the_verdict_of_the_rule(name: str) -> None:
    tarts(**DEEP)
    client, address = signed_in("kitchen"), f"{reverse(name)}?first={DAY}&last={DAY}"
    page = client.get(address).content.decode()
    # Its mark says it already.
    assert "Not cold in time by its steps" in page
    assert "Does not meet the rule." not in page


def test_what_keeps_the_rule_as_likely_alone_is_to_be_measured() -> None:
    tarts()
    (cold,) = cold_times(["custard-tart"], book_current()).values()
    (time,) = cold.times
    likely = replace(cold, times=(replace(time, verdict="likely"), replace(time, verdict="kept")))
    words = "Likely meets the rule, but not if it cools slowly. Measure it."
    assert (product_verdict(likely), product_measured(likely)) == (words, True)
    met = replace(cold, times=(replace(time, verdict="kept"),))
    assert (product_verdict(met), product_measured(met)) == ("Meets the rule.", False)
    assert product_verdict(replace(cold, times=(replace(time, verdict="kept", slow=None),))) == ""
    assert product_verdict(replace(cold, times=())) == ""


@pytest.mark.parametrize("name", ["sheet-cold", "sheet-prep"])
def test_a_products_row_says_from_when_both_clocks_count_as_a_batchs_does(name: str) -> None:
    tarts()
    page = text(signed_in("kitchen").get(f"{reverse(name)}?first={DAY}&last={DAY}"))
    assert "The times to measure by count from the heat, to be safe; the verdict counts from 135 °F." in page
