"""A batch that a later order makes larger is judged, marked and timed at the size it has by then, for both orders."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from costing.contract import Book
from orders.cooling_log.common_batches import together_unanswered
from orders.cooling_log.likely import minded_of
from orders.cooling_log.making_days import NOTHING_LARGER, EndsByOrder, Larger, Making, planned_ends
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.sharing import as_made
from orders.orders.latest_starts import latest_starts
from orders.orders.models import Order
from orders.planning.planned_batches import Planned
from orders.production.batches import batch_rows
from orders.production.demand import demand
from orders.production.labels import label_file
from orders.quotes.cooling.selectors import Item, broken
from orders.quotes.cooling.shared import shared_batches
from orders.records.cooling_errors import BrokenTogether, StartLate, StartWaits
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import measuring
from tests.factories import BY, EVENT, draft_make, line_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import YES, order_make
from tests.integration.orders.cooling_log.test_together import custard
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db
__all__ = ["custard"]


def ordered(units: int, days: int = 0, **facts: object) -> Order:
    start = EVENT + timedelta(days=days)
    table = table_make(lines=(line_make("custard-tart", units),), extras=())
    order = order_make(table=table, window_start=start, window_end=start + timedelta(hours=1), **facts)
    return Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get(pk=order.pk)


def mark_of(order: Order, item: Item) -> CoolingMark:
    return cooling_marks([order])[order.pk][item]


def off_heat() -> datetime:
    """When the batches for the orders of the event's day leave the heat, as the sheets have it."""
    day = EVENT.date()
    rows = batch_rows(demand(first=day, last=day, today=day), at=timezone.now())
    return min(end for row in rows for _, end in row.times if end is not None)


def test_an_order_that_breaks_the_rule_alone_is_asked_again_when_another_makes_its_batch_larger(custard: Item) -> None:
    first = ordered(12)
    assert [one.item for one in broken({"custard-tart": 12}, book_current())] == [custard]
    alone = mark_of(first, custard)
    assert (alone.together, alone.unanswered) == (None, False)
    second = ordered(6)
    for order in (first, second):
        mark = mark_of(order, custard)
        assert mark.together is not None
        assert set(mark.together.numbers) == {first.number, second.number}
        assert [one.item for one in together_unanswered(order)] == [custard]
        with refused(BrokenTogether, match="not cold in time as one batch"):
            order_start(order_id=order.pk, by=BY, at=YES)
    page = text(signed_in("owner").get(reverse("order", args=[first.pk])))
    assert f"As one batch for {first.number} and {second.number} it has another size and is not cold in time" in page
    order_start(order_id=second.pk, together=measuring(), by=BY, at=YES)
    assert together_unanswered(first) == ()
    order_start(order_id=first.pk, by=BY, at=YES)


def test_what_breaks_it_alone_still_asks_for_a_current_record_of_its_own(custard: Item) -> None:
    first, _ = ordered(12), ordered(6)
    RecipeStep.objects.filter(kind="cook").update(leaves_c=Decimal(62))
    catalog_changed()
    assert mark_of(first, custard).unanswered
    with refused(StartWaits, match="no measurement is planned"):
        order_start(order_id=first.pk, together=measuring(), by=BY, at=YES)


def test_a_quote_that_breaks_it_alone_names_the_order_whose_batch_it_enlarges(custard: Item) -> None:
    first = ordered(6)
    quote = draft_make(table=table_make(lines=(line_make("custard-tart", 12),), extras=()))
    (shared,) = shared_batches(quote, {"custard-tart": 12}, book_current())
    assert [one.number for one in shared.orders] == [first.number]


def test_batches_that_are_as_large_together_as_alone_are_not_asked_about_twice(custard: Item) -> None:
    first = ordered(12)
    (one,) = broken({"custard-tart": 12}, book_current())
    assert one.grams is not None
    Recipe.objects.filter(pk=custard.pk).update(batch_limit=f"{round(one.grams)} g")
    catalog_changed()
    ordered(12)
    assert mark_of(first, custard).together is None


@pytest.fixture
def slow_custard() -> Item:
    """Boiled custard of which two orders make a deeper batch, that takes longer than its steps state."""
    made = batch_kitchen_make(
        profile={"diameter_cm": "12", "height_cm": "1.2", "air_c": "1"}, vessels=1, ice_bath=False, chill_min="60"
    )
    made.steps.filter(kind="cook").update(leaves_c=Decimal(60))
    catalog_changed()
    return Item("recipe", made.pk)


def test_a_larger_batch_leaves_the_heat_earlier_for_the_first_order_too(slow_custard: Item) -> None:
    first = ordered(6)
    before, start = off_heat(), latest_starts([first], at=timezone.now())[first.pk].moment
    ordered(12)
    assert off_heat() < before
    assert latest_starts([first], at=timezone.now())[first.pk].moment < start


def test_a_sheet_shows_a_batch_at_the_size_in_which_it_is_made_for_an_order_of_another_day(
    slow_custard: Item, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = ordered(6)
    day = EVENT.date()
    (alone,) = batch_rows(demand(first=day, last=day, today=day), at=timezone.now())
    before = off_heat()
    monkeypatch.setattr("orders.cooling_log.making_days._makings", _on_one_day)
    second = ordered(12, days=1)
    (row,) = batch_rows(demand(first=day, last=day, today=day), at=timezone.now())
    assert row.cold.batches.grams > alone.cold.batches.grams
    assert (row.orders, set(row.shared)) == ({first.pk}, {first.number, second.number})
    assert off_heat() < before
    client = signed_in("kitchen")
    period = {"first": day.isoformat(), "last": day.isoformat()}
    for address in (reverse("sheet-cold"), reverse("sheet-prep"), reverse("order-batches", args=[first.pk])):
        assert f"as one batch for {first.number} and {second.number}" in text(client.get(address, period)), address


def _on_one_day(needing: Sequence[tuple[Order, datetime | None]], zone: object) -> list[Making]:
    return [Making(EVENT.date(), planned=True, orders=tuple(order for order, _ in needing))]


def test_what_only_the_common_batch_likely_meets_is_to_be_measured_for_both(custard: Item) -> None:
    Vessel.objects.filter(name="Tub").update(length_cm=Decimal(34))
    catalog_changed()
    first = ordered(6)
    assert minded_of(first, {}) == ()
    second = ordered(6)
    assert cooling_marks([first, second]) == {}
    assert [[one.name for one in minded_of(order, {})] for order in (first, second)] == [["Baked custard"]] * 2
    sheet = text(signed_in("kitchen").get(reverse("order-batches", args=[first.pk])))
    assert "Likely meets the rule, but not if it cools slowly." in sheet


def test_what_likely_meets_its_rule_is_named_on_the_day_the_label_and_at_the_hand_over(
    custard: Item, monkeypatch: pytest.MonkeyPatch
) -> None:
    Vessel.objects.filter(name="Tub").update(length_cm=Decimal(17))
    catalog_changed()
    order, words = ordered(6), "Baked custard: likely meets the cooling rule, but not if it cools slowly. Measure it."
    order_start(order_id=order.pk, by=BY, at=YES)
    assert cooling_marks([order]) == {}
    assert words in label_file([order]).decode()
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT - timedelta(hours=8))
    cook = signed_in("kitchen")
    assert words in text(cook.get(reverse("day")))
    page = cook.get(reverse("order", args=[order.pk])).content.decode()
    form = page.split(reverse("order-deliver", args=[order.pk]))[1]
    assert words in " ".join(form.split("</form>")[0].split())
    assert "note good" not in page


def test_no_hour_is_written_for_what_is_not_cold_in_time_at_its_common_size_and_production_does_not_start(
    slow_custard: Item, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = ordered(6), ordered(12)
    day, cook = EVENT.date(), signed_in("kitchen")
    # No start is early enough at the common size.
    monkeypatch.setattr("orders.cooling_log.sharing.planned_ends", _alone_only)
    sheet = text(cook.get(reverse("sheet-cold"), {"first": day.isoformat(), "last": day.isoformat()}))
    words = f"As one batch it is not cold before it leaves for {first.number} and {second.number}"
    assert words in sheet
    assert sheet.count("Not cold before it leaves as one batch with other orders: Baked custard") == 2
    assert "off the heat, as planned" not in sheet
    assert "After “Bake”, planned for" not in sheet
    with refused(BrokenTogether, match="not cold in time as one batch"):
        order_start(order_id=first.pk, by=BY, at=YES)
    order_start(order_id=first.pk, together=measuring(), by=BY, at=YES)
    with refused(StartLate, match="is not cold before the order leaves"):
        order_start(order_id=second.pk, by=BY, at=YES)
    page = text(signed_in("owner").get(reverse("order", args=[second.pk])))
    assert "as one batch with other orders no start is early enough by now" in page
    order_start(order_id=second.pk, together=measuring(), by=BY, at=YES)


def test_what_had_to_be_begun_before_now_at_its_common_size_is_late(slow_custard: Item) -> None:
    first = ordered(6)
    ordered(12)
    book, off = book_current(), EVENT.replace(hour=18, minute=0) - timedelta(days=2)
    assert as_made([first], book, at=off - timedelta(minutes=1)).late == {}
    late = as_made([first], book, at=off + timedelta(minutes=1)).late
    assert late[first.pk] == {"custard"}


def _alone_only(
    orders: Sequence[Order], book: Book, plan: Planned, *, at: datetime, larger: Larger = NOTHING_LARGER
) -> EndsByOrder:
    return {} if larger else planned_ends(orders, book, plan, at=at)
