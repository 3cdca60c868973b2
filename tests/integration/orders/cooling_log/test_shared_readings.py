"""A reading of a batch for several orders belongs to the batch: it stays with each of them, and counts within it."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from costing.chilling import Trial
from orders.cooling_log.measurables import measurable
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.production.batch_presenters import cooling_shown
from orders.production.labels import label_file
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import ReadingTooSoon, ReheatingTakes
from orders.records.states import OrderStatus
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import line_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, celsius, read
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db
MET = (read(2, 68), read(6, 40))
WARM = (read(2, 90),)


@pytest.fixture
def custard() -> Item:
    """Boiled custard in three tubs: thin enough for one order, not for two."""
    made = batch_kitchen_make(
        profile={"diameter_cm": "12", "height_cm": "1.2", "air_c": "1"}, vessels=3, ice_bath=False, chill_min="600"
    )
    made.steps.filter(kind="cook").update(leaves_c=Decimal(60))
    catalog_changed()
    return Item("recipe", made.pk)


def ordered() -> Order:
    return whole(order_make(table=table_make(lines=(line_make("custard-tart", 18),), extras=())))


def whole(order: Order) -> Order:
    return Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get(pk=order.pk)


def mark(order: Order) -> CoolingMark:
    (found,) = cooling_marks([whole(order)])[order.pk].values()
    return found


def measured(order: Order, custard: Item, part: int, **facts: object) -> CoolingRecord:
    columns = {"readings": MET, "outcome": "met", "common": True} | facts
    data = RecordData(custard, started_at=START, part=part, **columns)  # type: ignore[arg-type]  # a test's facts
    return cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)


def delivered(order: Order) -> None:
    Order.objects.filter(pk=order.pk).update(status=OrderStatus.DELIVERED)


@pytest.mark.parametrize("action", ["reheated", "discarded"])
def test_what_was_not_met_stays_with_the_other_orders_when_the_one_it_was_recorded_for_is_over(
    custard: Item, action: str
) -> None:
    first, second = ordered(), ordered()
    measured(first, custard, 2, readings=WARM, outcome="not_met", action=action)
    before = mark(second)
    delivered(first)
    found = mark(second)
    assert (found.state, found.gone, found.open_parts) == (before.state, before.gone, before.open_parts)
    assert found.state != "met"
    page = text(signed_in("kitchen").get(reverse("order-cooling", args=[second.pk])))
    assert f"One batch for {first.number} and {second.number}. Vessel 2 of 3: 90 °F" in page


def test_the_batch_is_measured_on_for_all_its_orders_when_one_is_over(custard: Item) -> None:
    first, second = ordered(), ordered()
    measured(first, custard, 1)
    measured(first, custard, 2)
    delivered(first)
    assert (mark(second).state, mark(second).open_parts) == ("owed", (3,))
    (one,) = (one for one in measurable(whole(second)) if one.item == custard)
    assert one.is_common
    record = measured(second, custard, 3)
    assert record.common == [first.pk, second.pk]
    assert mark(second).settled
    assert mark(first).settled


def test_vessels_of_two_batches_do_not_add_up(custard: Item) -> None:
    first, _ = ordered(), ordered()
    measured(first, custard, 1)
    measured(first, custard, 2)
    measured(first, custard, 3, common=False)
    assert not mark(first).settled
    measured(first, custard, 3)
    assert mark(first).settled


def test_a_batch_of_its_own_that_is_complete_settles_the_order_it_is_for(custard: Item) -> None:
    first, second = ordered(), ordered()
    measured(first, custard, 1)
    for part in (1, 2, 3):
        measured(first, custard, part, common=False)
    assert mark(first).settled
    assert not mark(second).settled


def test_a_vessel_reheated_in_one_batch_is_not_hidden_by_another_batch(custard: Item) -> None:
    first, _ = ordered(), ordered()
    measured(first, custard, 2, readings=WARM, outcome="not_met", action="reheated")
    for part in (1, 2, 3):
        measured(first, custard, part, common=False)
    assert mark(first).state == "not_met"


class TestReheated:
    """A second cooling takes the time that reheating and cooling take."""

    def test_it_does_not_begin_in_the_minute_of_the_last_reading(self, custard: Item) -> None:
        order = ordered()
        measured(order, custard, 2, readings=WARM, outcome="not_met", action="reheated", common=None)
        over = WARM[-1].at
        again = [Reading(over + timedelta(hours=hours), celsius(degrees)) for hours, degrees in ((2, 68), (5, 40))]
        data = RecordData(custard, again, "met", started_at=over, part=2)
        with refused(ReheatingTakes, match="reheating takes at least 10 minutes"):
            cooling_record_add(order_id=order.pk, data=data, by="tomas", at=over + timedelta(hours=6))
        later = replace(data, started_at=over + timedelta(minutes=10))
        assert cooling_record_add(order_id=order.pk, data=later, by="tomas", at=over + timedelta(hours=6)).part == 2

    def test_it_is_not_cold_in_twenty_minutes(self, custard: Item) -> None:
        order = ordered()
        measured(order, custard, 2, readings=WARM, outcome="not_met", action="reheated", common=None)
        begun = WARM[-1].at + timedelta(minutes=15)
        data = RecordData(custard, [Reading(begun + timedelta(minutes=20), celsius(40))], "met", begun, part=2)
        with refused(ReadingTooSoon, match="less than .* minutes after cooling began"):
            cooling_record_add(order_id=order.pk, data=data, by="tomas", at=begun + timedelta(hours=1))

    def test_a_batch_for_several_orders_cools_as_long_as_all_of_it_takes(self, custard: Item) -> None:
        first, _ = ordered(), ordered()
        (one,) = (one for one in measurable(first) if one.item == custard)
        shared, alone = (one.of_batch(common=common).likely_min or 0 for common in (True, False))
        assert shared > alone > 0


class TestThrownAway:
    def test_the_next_thing_to_do_is_to_make_it_again(self, custard: Item) -> None:
        order = ordered()
        order_start(order_id=order.pk, by="tomas", at=START)
        measured(order, custard, 0, readings=WARM, outcome="not_met", action="discarded", common=None)
        for role in ("owner", "kitchen"):
            page = text(signed_in(role).get(reverse("order", args=[order.pk])))
            assert "Make Baked custard again: its batch was thrown away" in page
            assert "Hand the order over" not in page


def test_what_was_measured_and_met_says_so_and_has_nothing_to_fill_in(custard: Item) -> None:
    first, second = ordered(), ordered()
    day = f"{first.window_start:%Y-%m-%d}"
    cook, blanks = signed_in("kitchen"), "1: ____ at ____"
    sheet = reverse("sheet-cold")
    assert blanks in text(cook.get(sheet, {"first": day, "last": day})).replace("\xa0", " ")
    for part in (1, 2, 3):
        measured(second, custard, part)
    page = text(cook.get(sheet, {"first": day, "last": day})).replace("\xa0", " ")
    assert "Measured: 40 °F, met" in page
    assert blanks not in page
    assert mark_shown(mark(first)).brief == "Measured: 40 °F, met"


def test_what_is_older_than_it_keeps_stands_on_the_label_file_and_the_hand_over(
    custard: Item, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = ordered()
    measured(order, custard, 0, common=None)
    assert "Older than" not in label_file([order]).decode()
    monkeypatch.setattr("orders.cooling_log.selectors.aged", lambda *_: {custard: Fraction(4320)})
    assert "Baked custard: Older than the 3 days it keeps: ask before it leaves." in label_file([order]).decode()
    day = f"{order.window_start:%Y-%m-%d}"
    page = text(signed_in("kitchen").get(reverse("sheet-handover"), {"first": day, "last": day}))
    assert "Baked custard in it: Older than the 3 days it keeps. Ask before it leaves." in page


@pytest.mark.parametrize("verdict", ["kept", "likely"])
def test_the_verdict_of_a_part_of_a_batch_gives_way_to_that_of_the_whole(
    custard: Item, verdict: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (batch,) = hot_batches({"custard-tart": 18}, book_current())
    monkeypatch.setattr(Trial, "verdict", property(lambda _: verdict))
    alone, part = (cooling_shown(batch.times[0], None, together=together) for together in (False, True))
    assert alone.takes
    assert part.verdict == "Does not meet the rule as one batch with the other orders."
    assert (part.marked, part.takes) == (True, "")
