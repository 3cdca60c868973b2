"""A measurement counts for the thing that was measured: of this order, of its days, and of that vessel alone."""

from datetime import timedelta

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from catalog.recipes.models import RecipeStep
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.orders.services import order_deliver
from orders.production.hand_over import hand_overs
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import (
    BeforeProduction,
    BeganBeforeDone,
    DiscardedGoesOut,
    NotMadeYet,
    PartMissing,
    ReadingContradicts,
    ReadingMissing,
    RuleWasNotMet,
)
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import BY, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, TART, deep_order, read, record, state
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.starting import started_long_before

pytestmark = pytest.mark.django_db

MET = [read(2, 68), read(6, 41)]


def earlier(days: int) -> list[Reading]:
    return [Reading(one.at - timedelta(days=days), one.celsius) for one in MET]


def two_tubs() -> tuple[Order, Item]:
    """An order whose custard stands in two tubs and breaks the rule there."""
    custard = batch_kitchen_make(profile={"height_cm": "1.2"})
    order_make(table=table_make(lines=(line_make(TART, 24),), extras=()))
    return Order.objects.prefetch_related("lines__product").latest("pk"), Item("recipe", custard.pk)


def tub(order: Order, custard: Item, part: int | None, outcome: str = "met", **facts: object) -> CoolingRecord:
    readings = facts.pop("readings", MET)
    data = RecordData(custard, readings, outcome, part=part, **{"started_at": START, **facts})  # type: ignore[arg-type]  # as given
    return cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)


def mark(order: Order, custard: Item) -> CoolingMark:
    return cooling_marks([order])[order.pk][custard]


class TestDays:
    @pytest.mark.parametrize("days", [12, 15, 60])
    def test_what_was_measured_before_it_can_have_been_made_is_refused(self, days: int) -> None:
        order = deep_order()
        with refused(NotMadeYet, match="is too early: for O-00001, Custard tart, 10 cm is made from .* on"):
            record(order, *earlier(days), started_at=START - timedelta(days=days))
        with refused(NotMadeYet, match="is too early"):
            record(order, *earlier(days), started_at=None, outcome="cooling")
        assert state(order) == "owed"

    def test_it_may_be_made_as_early_as_it_keeps(self) -> None:
        Product.objects.all().delete()
        order = deep_order()
        record(order, *earlier(1), started_at=START - timedelta(days=1), made_from=True)
        assert state(order) == "met"
        with refused(NotMadeYet, match="is too early"):
            record(order, *earlier(6), started_at=START - timedelta(days=6))

    def test_production_that_was_started_counts_from_that_day_on(self) -> None:
        order = deep_order()
        begun = START - timedelta(days=6)
        started_long_before(order, at=begun + timedelta(hours=3))
        with refused(BeforeProduction, match="is an earlier batch"):
            record(order, *earlier(6), started_at=begun)
        record(order, *earlier(6), started_at=begun, made_from=True)
        assert state(order) == "met"

    @pytest.mark.parametrize("days", [12, 40])
    def test_what_is_made_for_an_order_that_is_started_early_is_taken_and_too_old_at_the_hand_over(
        self, days: int
    ) -> None:
        order = deep_order()
        begun = START - timedelta(days=days)
        started_long_before(order, at=begun)
        record(order, *earlier(days), started_at=begun, made_from=True)
        assert state(order) == "met"
        found = Order.objects.select_related("quote__inquiry", "customer").prefetch_related("lines__product")
        (row,) = hand_overs([found.get(pk=order.pk)])
        assert [mark.aged_min for mark in row.marks if mark is not None] == [48 * 60]

    def test_a_batch_of_which_nobody_said_how_long_it_keeps_counts_three_days(self) -> None:
        order, custard = two_tubs()
        RecipeStep.objects.filter(recipe=custard.pk).update(hold_max=None)
        catalog_changed()
        begun = START - timedelta(days=8)
        started_long_before(order, at=begun)
        tub(order, custard, 0, readings=earlier(8), started_at=begun, made_from=True)
        assert mark(order, custard).aged_min == 3 * 24 * 60

    def test_the_form_keeps_what_was_typed_and_names_the_field(self, monkeypatch: pytest.MonkeyPatch) -> None:
        order = deep_order()
        monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
        day = (START - timedelta(days=40)).date().isoformat()
        values = {"item": str(Item("product", Product.objects.get(code=TART).pk)), "day": day, "started_time": "9:00"}
        values |= {
            "part": "0",
            "outcome": "met",
            "readings-0-celsius": "68",
            "readings-0-time": "11:00",
            "note": "upper shelf",
        }
        page = signed_in("kitchen").post(reverse("order-cooling", args=[order.pk]), values).content.decode()
        assert "Correct the day or the time" in page
        assert 'href="#id_day"' in page
        assert "upper shelf" in page
        assert not CoolingRecord.objects.exists()


class TestContradictions:
    """A second record of the same thing does not turn what was thrown away into what was cold in time."""

    def thrown_away(self) -> Order:
        order = deep_order()
        record(order, read(2, 95), started_at=START, outcome="not_met", action="discarded")
        return order

    def test_a_new_cooling_does_not_begin_before_the_last_one_was_thrown_away(self) -> None:
        order = self.thrown_away()
        with refused(BeganBeforeDone, match="was recorded as discarded at .*4:00.*so a new cooling cannot have begun"):
            record(order, read(2.5, 69), read(6, 40), started_at=START + timedelta(minutes=30))
        assert state(order) == "not_met"
        record(order, read(3.5, 69), read(6, 40), started_at=START + timedelta(hours=2, minutes=30))
        assert state(order) == "met"

    def test_two_readings_of_one_minute_do_not_contradict_each_other(self) -> None:
        order = self.thrown_away()
        with refused(ReadingContradicts, match="95 °F was recorded of Custard tart, 10 cm, and now 69 °F"):
            record(order, read(2, 69), read(6, 40), started_at=START)

    def test_one_of_all_vessels_is_that_of_the_warmest(self) -> None:
        order, custard = two_tubs()
        tub(order, custard, 0, "cooling", readings=[read(1, 80)])
        with refused(ReadingContradicts, match="the number of the load or vessel"):
            tub(order, custard, 2, "cooling", readings=[read(1, 90)])
        tub(order, custard, 2, "cooling", readings=[read(1, 75)])


class TestVessels:
    def test_which_vessel_was_measured_is_asked(self) -> None:
        order, custard = two_tubs()
        with refused(PartMissing, match="stands in 2 vessels. Choose which of them was measured"):
            tub(order, custard, None)
        with refused(PartMissing, match="stands in 2 vessels"):
            tub(order, custard, 3)

    def test_one_reading_does_not_stand_for_the_other_tub(self) -> None:
        order, custard = two_tubs()
        tub(order, custard, 1)
        found = mark(order, custard)
        assert (found.state, found.open_parts) == ("owed", (2,))
        assert "Number 2 of 2 is still to be measured." in mark_shown(found).sentence
        tub(order, custard, 2)
        assert mark(order, custard).settled

    def test_every_one_measured_settles_all_and_one_that_failed_stands_before_one_that_was_cold(self) -> None:
        order, custard = two_tubs()
        tub(order, custard, 0)
        assert mark(order, custard).settled
        tub(order, custard, 2, "not_met", action="discarded", readings=[read(6, 60)])
        tub(order, custard, 1)
        assert mark(order, custard).state == "not_met"
        with refused(DiscardedGoesOut, match="recorded as discarded"):
            order_deliver(order_id=order.pk, note="One tub of curd instead", by=BY, at=AFTER)
        with refused(RuleWasNotMet, match="recorded as not met"):
            order_deliver(order_id=order.pk, left_out=[custard], by=BY, at=AFTER)

    def test_readings_of_one_tub_are_not_carried_into_the_other(self) -> None:
        order, custard = two_tubs()
        tub(order, custard, 1, "cooling", readings=[read(2, 68)])
        row = tub(order, custard, 2, "cooling", readings=[read(1.5, 75)])
        assert len(row.read) == 1
        assert mark(order, custard).open_parts == (1, 2)

    def test_the_sheets_have_a_line_for_each_tub(self) -> None:
        order, _ = two_tubs()
        day = order.window_start.date().isoformat()
        page = signed_in("kitchen").get(reverse("sheet-prep"), {"first": day, "last": day}).content.decode()
        assert "1:&nbsp;______ 2:&nbsp;______" in page


class TestClosing:
    def test_what_the_readings_show_is_closed_without_another(self) -> None:
        order = deep_order()
        record(order, *MET, outcome="cooling")
        assert state(order) == "cooling"
        page = signed_in("kitchen").get(reverse("order-cooling", args=[order.pk])).content.decode()
        assert "the readings show that the rule was met. Choose “Met” and record it" in page
        row = record(order, started_at=None)
        assert row.read == tuple(MET)
        assert state(order) == "met"
        assert record(order, started_at=None) == row

    def test_without_readings_that_show_it_another_is_asked_for(self) -> None:
        order = deep_order()
        with refused(ReadingMissing, match="Enter at least one reading"):
            record(order, started_at=None)

    def test_the_form_says_that_what_was_done_is_asked_for_where_it_was_not_kept(self) -> None:
        order = deep_order()
        page = signed_in("kitchen").get(reverse("order-cooling", args=[order.pk])).content.decode()
        assert "Nothing yet" not in page
        assert "Choose what was done" in page
        assert "what was done with it <span" not in page


def test_labels_of_discarded_food_say_so() -> None:
    order = deep_order()
    record(order, read(6, 60), outcome="not_met", action="discarded")
    day = order.window_start.date().isoformat()
    page = signed_in("kitchen").get(reverse("sheet-labels"), {"first": day, "last": day}).content.decode()
    assert "3:00 PM. Discarded: it does not go out." in page


def test_a_refusal_of_what_stands_in_one_vessel_names_no_number_that_nobody_asks_for() -> None:
    order = deep_order()
    record(order, read(2, 95), started_at=START, outcome="not_met", action="discarded")
    with refused(BeganBeforeDone, match=r"made anew or reheated began to cool\.$"):
        record(order, read(2.5, 69), read(6, 40), started_at=START + timedelta(minutes=30))
    with refused(ReadingContradicts, match=r"at which this reading was taken\.$"):
        record(order, read(2, 69), read(6, 40), started_at=START)
