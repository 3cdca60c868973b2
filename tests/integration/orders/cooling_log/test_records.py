"""What is measured while an order cools: recorded by the kitchen, marked on pages and sheets until it is."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.rates.models import Station
from costing.chilling import PROFILES
from orders.cooling_log.deadlines import Limits, deadlines
from orders.cooling_log.measurables import Measurable, measurable
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.selectors import cooling_marks
from orders.cooling_log.services import _check_met
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import (
    ActionMissing,
    BrokenAlready,
    NotShownInTime,
    ReadingBeforeStart,
    ReadingInFuture,
    ReadingMissing,
    ReadingTooSoon,
    ReadingUnlikely,
    ReheatedBefore,
    StartMissing,
    StillTooWarm,
    WarmerAgain,
)
from orders.records.errors import (
    ChangedMeanwhile,
    OrderCanceled,
    OrderError,
)
from orders.records.models import AuditEntry
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import BY
from tests.integration.orders.cooling_log.measuring import (
    AFTER,
    START,
    TART,
    catalog_broken,
    celsius,
    deep_order,
    mark_of,
    read,
    record,
    state,
)
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused

pytestmark = pytest.mark.django_db


class TestRecording:
    def test_a_measurement_that_shows_the_rule_was_met_settles_the_mark(self) -> None:
        order = deep_order()
        assert state(order) == "owed"
        row = record(order, read(2, 68), read(6, 41), note="Upper shelf")
        assert state(order) == "met"
        assert (row.item, row.outcome, row.action) == ("Custard tart, 10 cm", "met", "")
        assert (row.started_at, row.recorded_by, row.recorded_at) == (START, "tomas", AFTER)
        assert row.rule.startswith("United States, cooked food")
        assert row.read == (read(2, 68), read(6, 41))
        entry = AuditEntry.objects.get(document="order", event="measured")
        assert (entry.by, entry.note) == ("tomas", "Upper shelf")

    @pytest.mark.parametrize(
        ("readings", "error", "words"),
        [
            ([(0.1, 41)], ReadingTooSoon, "less than 15 minutes after cooling began"),
            ([(2, 68), (6, 4)], ReadingUnlikely, "is frozen. Check the reading and its unit"),
            ([(1, 41), (3, 90), (6, 41)], WarmerAgain, "is warmer than the reading before"),
            ([(2, 68), (6, 43)], StillTooWarm, "is 43 °F, warmer than 41 °F. Add a later reading"),
            ([(2, 68), (6, 41.3)], StillTooWarm, "41.3 °F, warmer than 41 °F"),
            ([(2.1, 69), (6, 41)], NotShownInTime, "No reading shows .* at 70 °F or colder by "),
            ([(2, 71), (6, 41)], NotShownInTime, "at 70 °F or colder by"),
            ([(2, 68), (6.1, 41)], NotShownInTime, "at 41 °F or colder by "),
            ([(6, 41)], NotShownInTime, "at 70 °F or colder by"),
        ],
    )
    def test_the_rule_was_met_only_where_the_readings_show_it(
        self, readings: list[tuple[float, float]], error: type[OrderError], words: str
    ) -> None:
        order = deep_order()
        with refused(error, match=words):
            record(order, *(read(*one) for one in readings))
        assert not CoolingRecord.objects.exists()

    def test_the_limits_themselves_are_cold_enough(self) -> None:
        order = deep_order()
        record(order, read(2, 70), read(6, 41))
        assert state(order) == "met"

    def test_without_a_start_it_cannot_be_known(self) -> None:
        with refused(StartMissing, match="^Enter when cooling began: the rule counts from then"):
            record(deep_order(), read(2, 68), read(6, 41), started_at=None)

    def test_readings_of_a_record_that_goes_on_are_carried_along(self) -> None:
        order = deep_order()
        record(order, read(2, 68), outcome="cooling")
        assert state(order) == "cooling"
        row = record(order, read(6, 40), started_at=None)
        assert [one.celsius for one in row.read] == [celsius(68), celsius(40)]
        assert row.started_at == START
        assert state(order) == "met"

    def test_a_later_start_does_not_restart_the_clock_of_what_still_cools(self) -> None:
        order = deep_order()
        record(order, read(1, 100), outcome="cooling")
        later = START + timedelta(hours=2.5)
        with refused(NotShownInTime, match="at 70 °F or colder by .*4:00 PM"):
            record(order, read(3.5, 65), read(5.5, 40), started_at=later)
        assert state(order) == "cooling"
        assert (
            record(order, read(1.9, 70), started_at=later - timedelta(hours=1), outcome="cooling").started_at == START
        )
        row = record(order, read(5.5, 40), started_at=later)
        assert (row.outcome, row.started_at) == ("met", START)

    def test_the_clock_of_one_vessel_runs_on_where_each_is_recorded(self) -> None:
        row = CoolingRecord(pk=1, outcome="cooling", started_at=START, part=2, parts=2)
        each = Measurable(Item("recipe", 1), "Custard", Limits(), [row], parts=2)
        assert (each.began(0), each.began(1), each.began(2)) == (START, None, START)
        done = CoolingRecord(pk=2, outcome="not_met", action="reheated", part=2, parts=2)
        assert Measurable(Item("recipe", 1), "Custard", Limits(), [row, done]).began(0) is None

    @pytest.mark.parametrize("readings", [[(2, 71)], [(2.5, 100)], [(2, 68), (6, 43)], [(2, 68), (6.5, 41.5)]])
    def test_what_missed_a_limit_does_not_cool_on(self, readings: list[tuple[float, float]]) -> None:
        order = deep_order()
        with refused(BrokenAlready, match="^Custard tart, 10 cm is too warm: .* the rule asks for .* or colder by"):
            record(order, *(read(*one) for one in readings), outcome="cooling")
        record(order, *(read(*one) for one in readings), outcome="not_met", action="discarded")
        assert state(order) == "not_met"

    def test_where_it_was_not_kept_it_is_said_what_was_done(self) -> None:
        order = deep_order()
        with refused(ActionMissing, match="^Choose what was done with Custard tart, 10 cm"):
            record(order, read(6, 60), outcome="not_met")
        record(order, read(6, 60), outcome="not_met", action="discarded")
        assert state(order) == "not_met"

    def test_it_is_reheated_once(self) -> None:
        order = deep_order()
        record(order, read(2, 90), outcome="not_met", action="reheated")
        with refused(ReheatedBefore, match="already reheated and cooled once more. Discard it."):
            record(order, read(5, 80), outcome="not_met", action="reheated", started_at=read(3, 0).at)
        record(order, read(5, 80), outcome="not_met", action="discarded", started_at=read(3, 0).at)
        # What is made anew may be reheated once too.
        made = {"started_at": read(5.5, 0).at, "note": "made anew"}
        record(order, read(6, 80), outcome="not_met", action="reheated", **made)

    def test_a_second_cooling_that_is_cold_in_time_says_that_the_first_was_not(self) -> None:
        order = deep_order()
        record(order, read(2, 90), outcome="not_met", action="reheated")
        later = START + timedelta(hours=3)
        record(order, read(4, 68), read(7, 40), started_at=later)
        mark = mark_of(order)
        assert mark is not None
        assert mark.settled
        assert mark.failed is not None

    def test_hostile_times_and_items_are_refused(self) -> None:
        order = deep_order()
        with refused(ReadingMissing, match="Enter at least one reading"):
            record(order)
        with refused(ReadingInFuture, match="is in the future"):
            record(order, read(8, 41))
        with refused(ReadingInFuture, match="is in the future"):
            record(order, read(2, 68), started_at=AFTER + timedelta(hours=1))
        with refused(ReadingBeforeStart, match="is before cooling began"):
            record(order, read(-1, 68))
        with refused(ChangedMeanwhile, match="changed in the meantime"):
            record(order, read(2, 68), item=Item("product", 99_999))
        with refused(ChangedMeanwhile, match="changed in the meantime"):
            record(order, read(2, 68), item=Item("recipe", 1))
        assert not CoolingRecord.objects.exists()

    def test_a_canceled_order_takes_none(self) -> None:
        order = deep_order()
        order_cancel(order_id=order.pk, reason="Called off", by=BY, at=START)
        with refused(OrderCanceled, match="is canceled"):
            record(order, read(2, 68))

    def test_the_same_sent_twice_is_one_record(self) -> None:
        order = deep_order()
        first = record(order, read(2, 68), read(6, 41))
        assert record(order, read(2, 68), read(6, 41)) == first
        record(order, read(2, 68), read(5.5, 40))
        assert CoolingRecord.objects.count() == 2

    def test_a_record_never_changes_and_is_never_deleted(self) -> None:
        row = record(deep_order(), read(2, 68), read(6, 41))
        for change in ("outcome = 'not_met', action = 'discarded'", "note = 'x'", "readings = '[]'"):
            with pytest.raises(DatabaseError, match="a cooling record never changes"), transaction.atomic():
                connection.cursor().execute(f"UPDATE orders_coolingrecord SET {change}")  # noqa: S608 - no input
        with pytest.raises(DatabaseError, match="is never deleted"), transaction.atomic():
            row.delete()


class TestMarks:
    def test_what_keeps_the_rule_is_not_marked(self) -> None:
        cooling_kitchen_make(diameter_cm="12", height_cm="1.2")
        assert mark_of(deep_order()) is None

    def test_a_verdict_by_todays_catalog_marks_an_order_of_before(self) -> None:
        cooling_kitchen_make(**DEEP | {"diameter_cm": "12", "height_cm": "1.2"})
        order = deep_order()
        assert mark_of(order) is None
        Product.objects.filter(code=TART).update(fill_height_cm="7.5")
        catalog_changed()
        mark = mark_of(order)
        assert mark is not None
        assert (mark.state, mark.override) == ("owed", None)

    def test_what_never_gets_cold_is_marked_too(self) -> None:
        cooling_kitchen_make()
        order = deep_order()
        Station.objects.filter(code="cold-room").update(air_c=Decimal("4.5"))
        catalog_changed()
        mark = mark_of(order)
        assert mark is not None
        assert mark.never

    def test_taking_the_cooling_step_out_makes_nothing_cold(self) -> None:
        order = deep_order()
        Product.objects.get(code=TART).steps.update(leaves_c=None)
        catalog_changed()
        assert state(order) == "owed"
        record(order, read(2, 68), read(6, 41))
        assert state(order) == "met"

    def test_steps_that_keep_the_rule_now_do_not_take_the_mark_away(self) -> None:
        order = deep_order()
        Product.objects.filter(code=TART).update(fill_height_cm="1.2")
        catalog_changed()
        mark = mark_of(order)
        assert mark is not None
        assert (mark.state, mark.earlier) == ("owed", True)

    def test_marks_of_many_orders_take_three_queries(self) -> None:
        for _ in range(3):
            deep_order()
        record(Order.objects.latest("pk"), read(2, 68), read(6, 41))
        book, orders = book_current(), list(Order.objects.prefetch_related("lines__product"))
        cooling_marks(orders, book)
        with CaptureQueriesContext(connection) as queries:
            marks = cooling_marks(orders, book)
        assert sorted(mark.state for one in marks.values() for mark in one.values()) == ["met", "owed", "owed"]
        assert len(queries) == 3

    def test_an_error_in_the_catalog_does_not_read_as_a_rule_that_is_kept(self) -> None:
        cooling_kitchen_make(**DEEP | {"diameter_cm": "12", "height_cm": "1.2"})
        order = deep_order()
        catalog_broken()
        assert state(order) == "unknown"
        page = signed_in("owner").get(reverse("order", args=[order.pk])).content.decode()
        assert "Whether it is cold in time is not known while the catalog has an error" in page
        record(order, read(2, 68), read(6, 41))
        assert state(order) == "met"

    def test_what_is_measured_instead_is_said_while_the_catalog_has_an_error(self) -> None:
        order = deep_order()
        catalog_broken()
        assert state(order) == "owed"
        page = signed_in("owner").get(reverse("order", args=[order.pk])).content.decode()
        assert "not known while the catalog has an error. Measure: Probe thermometer in the middle" in page


class TestLimitsWithoutTheBook:
    """Where the Book does not judge an item, the kitchen's own rule says what "kept" takes."""

    @pytest.mark.parametrize("how", ["error", "no step"])
    def test_one_cold_reading_without_a_start_does_not_show_that_the_rule_was_kept(self, how: str) -> None:
        order = deep_order()
        if how == "error":
            catalog_broken()
        else:
            Product.objects.get(code=TART).steps.update(leaves_c=None)
            catalog_changed()
        with refused(StartMissing, match="^Enter when cooling began"):
            record(order, read(6, 39), started_at=None)
        with refused(NotShownInTime, match="at 70 °F or colder by "):
            record(order, read(6, 39))
        row = record(order, read(2, 68), read(6, 39))
        assert row.rule.startswith("United States, cooked food")

    def test_the_rule_is_that_of_the_kitchens_place(self) -> None:
        order = deep_order()
        Kitchen.objects.update(food_safety="nz")
        catalog_broken()
        (one,) = measurable(order)
        assert one.limits.legs == PROFILES["nz"].legs

    def test_where_the_other_rule_was_recorded_its_hours_count(self) -> None:
        cooling_kitchen_make(**DEEP)
        Product.objects.filter(code=TART).update(cooling_rule="ambient")
        catalog_changed()
        order = deep_order()
        Product.objects.get(code=TART).steps.update(leaves_c=None)
        catalog_changed()
        with refused(NotShownInTime, match="at 41 °F or colder by "):
            record(order, read(2, 68), read(5, 39))
        assert record(order, read(2, 68), read(4, 39)).rule == PROFILES["us-ambient"].title


class TestDeadlines:
    def test_both_hours_of_the_food_code_count_from_the_start(self) -> None:
        rule = PROFILES["us-cooked"]
        limits = Limits(rule.title, rule.legs, 5.0)
        assert [by for _, by in deadlines(limits, START)] == [START + timedelta(hours=2), START + timedelta(hours=6)]

    def test_a_further_time_counts_from_the_reading_that_ended_the_first(self) -> None:
        further = next(
            rule for rule in PROFILES.values() if len(rule.legs) == 2 and rule.legs[1].from_c == rule.legs[0].to_c
        )
        limits = Limits(further.title, further.legs, further.legs[-1].to_c)
        first, second = further.legs
        whole = timedelta(minutes=first.minutes + second.minutes)
        assert [by for _, by in deadlines(limits, START)][-1] == START + whole
        early = [Reading(START + timedelta(hours=1), Decimal(str(first.to_c)))]
        assert [by for _, by in deadlines(limits, START, early)][-1] == START + timedelta(minutes=60 + second.minutes)

    @given(
        st.lists(st.tuples(st.integers(0, 600), st.decimals(-5, 90, places=1, allow_nan=False)), min_size=1, max_size=8)
    )
    def test_what_is_taken_as_met_was_cold_in_time_by_the_readings(self, pairs: list[tuple[int, Decimal]]) -> None:
        """The Food Code's two limits, computed here once more from its words."""
        readings = sorted((Reading(START + timedelta(minutes=at), c) for at, c in pairs), key=lambda one: one.at)
        rule = PROFILES["us-cooked"]
        one = Measurable(Item("product", 1), "Tart", Limits(rule.title, rule.legs, 5.0))
        # (70 - 32) × 5/9 °C, without a rounded figure.
        lukewarm = any(c * 9 <= 38 * 5 and at <= 120 for at, c in pairs)
        cold = any(c <= 5 and at <= 360 for at, c in pairs) and readings[-1].celsius <= 5
        try:
            _check_met(one, START, readings)
        except (ReadingTooSoon, ReadingUnlikely, WarmerAgain):
            pass  # they show nothing, whatever their figures are
        except OrderError:
            assert not (lukewarm and cold)
        else:
            assert lukewarm
            assert cold


def test_the_moments_of_a_record_are_read_back_as_they_were() -> None:
    one = Reading(datetime.fromisoformat("2027-02-05T11:00:00-05:00"), Decimal("21.111111"))
    row = CoolingRecord(readings=[{"at": one.at.isoformat(), "c": str(one.celsius)}])
    assert row.read == (one,)
