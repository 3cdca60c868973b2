"""Batches of one recipe that are made for several orders on one day, and that break a rule each order alone keeps."""

import re
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import OpenHours
from catalog.recipes.models import Recipe
from orders.cooling_log import making_days
from orders.cooling_log.breach_services import breaches_note
from orders.cooling_log.making_days import makings, planned_ends
from orders.cooling_log.plans import leaves_at
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.cooling_log.time_left import minutes_left
from orders.inquiries.models import Customer
from orders.orders.models import Order
from orders.planning.planned_batches import NOTHING_PLANNED
from orders.production.batches import batch_rows
from orders.production.demand import demand
from orders.production.labels import label_file
from orders.quotes.cooling.selectors import Item, broken
from orders.records.cooling_errors import BeganBeforeDone
from orders.records.models import AuditEntry
from orders.records.states import OrderStatus
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import measuring
from tests.factories import BY, EVENT, line_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, read
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db
PERIOD = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
UNITS = 6


@pytest.fixture
def custard() -> Item:
    """Boiled custard that stands in one tub, stirred in an ice bath: thin enough for one order, not for two."""
    made = batch_kitchen_make(
        profile={"diameter_cm": "12", "height_cm": "1.2", "air_c": "1"}, vessels=1, ice_bath=False, chill_min="600"
    )
    made.steps.filter(kind="cook").update(leaves_c=Decimal(60))
    catalog_changed()
    return Item("recipe", made.pk)


def ordered(**facts: object) -> Order:
    order = order_make(table=table_make(lines=(line_make("custard-tart", UNITS),), extras=()), **facts)
    return Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get(pk=order.pk)


def marks(order: Order) -> list[CoolingMark]:
    return list(cooling_marks([order]).get(order.pk, {}).values())


def made_on(order: Order) -> date:
    book = book_current()
    (making,) = makings(
        [order], book, planned_ends([order], book, NOTHING_PLANNED, at=timezone.now()), NOTHING_PLANNED
    )["custard"]
    assert making.planned
    return making.day


def test_each_order_alone_keeps_the_rule_and_both_together_break_it(custard: Item) -> None:
    assert broken({"custard-tart": UNITS}, book_current()) == ()
    assert [one.item for one in broken({"custard-tart": 2 * UNITS}, book_current())] == [custard]
    first = ordered()
    assert marks(first) == []
    second = ordered()
    for order in (first, second):
        (mark,) = marks(order)
        assert (mark.item, mark.state) == (custard, "owed")
        assert mark.together is not None
        assert set(mark.together.numbers) == {first.number, second.number}
    words = mark_shown(mark).sentence
    assert f"Not cold in time by its steps when made as one batch for {first.number} and {second.number}" in words
    assert re.search(r"make it in 2 batches, about .* h.* until the last is cold", words)
    assert "divide it over 2 × Tub" in words


def another(days: int, **facts: object) -> Order:
    """Return the same order, handed over some days later."""
    start = EVENT + timedelta(days=days)
    return ordered(window_start=start, window_end=start + timedelta(hours=1), **facts)


def test_orders_that_are_over_are_not_made_together(custard: Item) -> None:
    first = ordered()
    over = ordered()
    assert len(marks(first)) == 1
    Order.objects.filter(pk=over.pk).update(status=OrderStatus.DELIVERED)
    assert marks(first) == []


def test_a_sheet_of_several_days_judges_each_days_batch_by_itself(custard: Item) -> None:
    first, second = ordered(), another(2)
    assert cooling_marks([first, second]) == {}
    client = signed_in("kitchen")
    days = PERIOD | {"last": (EVENT + timedelta(days=2)).date().isoformat()}
    # Two batches each; the list of what is made has one row for the product, the cold room one for each order's.
    for name, rows in (("sheet-prep", 3), ("sheet-cold", 4), ("sheet-recipes", 2)):
        page = " ".join(client.get(reverse(name), days).content.decode().split())
        assert "as one batch" not in page, name
        assert "Does not meet the rule" not in page, name
        assert page.count("Meets the rule") == rows, name
    whole = demand(first=EVENT.date(), last=(EVENT + timedelta(days=2)).date(), today=EVENT.date())
    one, other = (row for row in batch_rows(whole, at=timezone.now()) if row.cold.recipe.code == "custard")
    assert (set(one.orders), set(other.orders)) == ({first.pk}, {second.pk})
    assert one.making is not None
    assert other.making is not None
    assert one.making.day < other.making.day
    recipes = " ".join(client.get(reverse("sheet-recipes"), days).content.decode().split())
    assert "Make it separately on each day:" in recipes


def test_orders_of_two_days_whose_batch_is_made_on_one_are_judged_as_one(custard: Item) -> None:
    first, second = ordered(), another(1)
    made = {order.pk: made_on(order) for order in (first, second)}
    assert (made[second.pk] - made[first.pk]).days == 1
    # Nobody works on the day before the second is handed over: both are made on the day before the first.
    OpenHours.objects.filter(weekday=made[second.pk].weekday()).delete()
    catalog_changed()
    assert made_on(first) == made_on(second)
    for order in (first, second):
        (mark,) = marks(order)
        assert mark.together is not None
        assert set(mark.together.numbers) == {first.number, second.number}


def test_an_order_without_a_plan_goes_with_what_is_made_on_its_day(custard: Item) -> None:
    unplanned, planned = ordered(), another(1)
    assert made_on(planned) == unplanned.window_start.date()
    book, both = book_current(), [unplanned, planned]
    ends = {planned.pk: planned_ends(both, book, NOTHING_PLANNED, at=timezone.now())[planned.pk]}
    (making,) = makings(both, book, ends, NOTHING_PLANNED)["custard"]
    assert (making.planned, set(making.orders)) == (True, {unplanned, planned})


def test_a_plan_is_made_anew_for_another_kind_of_customer_and_another_day(
    custard: Item, monkeypatch: pytest.MonkeyPatch
) -> None:
    order, book, kinds, now = ordered(), book_current(), [], timezone.now()

    def plan(order: Order, *rest: object) -> None:
        kinds.append(order.customer.kind)

    monkeypatch.setattr(making_days, "plan_of", plan)
    for _ in range(2):
        planned_ends([order], book, NOTHING_PLANNED, at=now)
    order.customer.kind = Customer.Kind.BUSINESS
    planned_ends([order], book, NOTHING_PLANNED, at=now)
    planned_ends([order], book, NOTHING_PLANNED, at=now + timedelta(days=1))
    assert kinds == [Customer.Kind.PRIVATE, Customer.Kind.BUSINESS, Customer.Kind.BUSINESS]


def test_without_working_hours_what_is_handed_over_on_one_day_counts_as_made_at_once(custard: Item) -> None:
    first, _, later = ordered(), ordered(), another(1)
    OpenHours.objects.all().delete()
    catalog_changed()
    assert [mark.together is not None for mark in marks(first)] == [True]
    assert marks(later) == []


def test_every_page_and_sheet_carries_it_until_it_is_measured_for_any_of_them(
    custard: Item, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = ordered(), ordered()
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    client = signed_in("kitchen")
    addresses = [reverse(name) for name in ("day", "sheet-prep", "sheet-cold", "sheet-handover")]
    addresses += [reverse(name, args=[one.pk]) for one in (first, second) for name in ("order", "order-batches")]
    for address in addresses:
        page = " ".join(client.get(address, PERIOD).content.decode().split())
        assert "Not cold in time by its steps when made as one batch for" in page, address
        assert "Meets the rule. " not in page, address
        assert "note good" not in page, address
    assert label_file([first]).decode().count("when made as one batch for") == 1
    data = RecordData(custard, [read(2, 68), read(6, 40)], "met", started_at=START, part=0, common=True)
    cooling_record_add(order_id=second.pk, data=data, by="tomas", at=AFTER)
    for address in addresses:
        page = " ".join(client.get(address, PERIOD).content.decode().split())
        assert "when made as one batch" not in page, address
        if "batches" not in address:
            assert "Measured: 40 °F on Friday, February 5, 2027, 3:00 PM by tomas." in page, address
    assert "when made as one batch for" not in label_file([first]).decode()


def test_what_is_made_again_alone_began_after_the_common_batch_was_discarded(custard: Item) -> None:
    first, second = ordered(), ordered()
    for order in (first, second):
        order_start(order_id=order.pk, together=measuring(), by=BY, at=START)
    gone = RecordData(
        custard, [read(3, 90)], "not_met", started_at=START, action="discarded", part=0, common=True, note="Too warm"
    )
    cooling_record_add(order_id=second.pk, data=gone, by="tomas", at=AFTER)
    again = RecordData(custard, [read(2, 68), read(6, 40)], "met", started_at=START, part=0, common=False)
    with refused(BeganBeforeDone, match="was recorded as discarded"):
        cooling_record_add(order_id=first.pk, data=again, by="tomas", at=AFTER)
    assert [mark.to_remake for mark in marks(first)] == [True]
    since = [read(5, 68), read(7, 40)]
    after = replace(again, readings=since, started_at=START + timedelta(hours=3, minutes=30))
    assert cooling_record_add(order_id=first.pk, data=after, by="tomas", at=AFTER).outcome == "met"


def test_what_takes_longer_than_is_left_is_no_way_of_dividing_it(
    custard: Item, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, _ = ordered(), ordered()
    batches = re.compile(r"make it in \d+ batches, about .+ until the last is cold")
    monkeypatch.setattr("django.utils.timezone.now", lambda: first.window_start - timedelta(days=3))
    (one,) = (mark for mark in marks(first) if mark.together is not None)
    assert batches.search(mark_shown(one).sentence)
    monkeypatch.setattr("django.utils.timezone.now", lambda: first.window_start - timedelta(hours=1))
    for mark in marks(first):
        sentence = mark_shown(mark).sentence
        assert not batches.search(sentence)
        assert "make it separately for each order" not in sentence
        if mark.together is not None:
            assert "discard it if it passes a limit. In doubt ask your local health department." in sentence
        assert mark.together is None or mark.together.ways.batches is None
        assert mark.together is None or mark.together.ways.vessels is None


def test_what_is_left_ends_when_the_batch_is_used_not_when_the_order_leaves(custard: Item) -> None:
    """The custard goes into a tart whose own steps take hours: what was cold only after that was a way all the same."""
    first, second = ordered(), ordered()
    book = book_current()
    left = first.window_start - timedelta(days=2)
    minutes = minutes_left([first, second], custard_code(custard), book, at=left)
    until_it_leaves = (min(map(leaves_at, (first, second))) - left) / timedelta(minutes=1)
    product = next(one for one in book.products if one.code == "custard-tart")
    assert minutes <= until_it_leaves - sum(float(step.minutes or 0) for step in product.steps)
    first.status = OrderStatus.IN_PRODUCTION
    assert minutes_left([first, second], custard_code(custard), book, at=left) > minutes


def custard_code(custard: Item) -> str:
    return Recipe.objects.get(pk=custard.pk).code


@pytest.mark.parametrize(("hours", "discard"), [(7, False), (5, True)])
def test_a_second_attempt_is_offered_only_while_its_time_is_left(
    custard: Item, hours: int, discard: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = ordered()
    monkeypatch.setattr("django.utils.timezone.now", lambda: leaves_at(order) - timedelta(hours=hours))
    page = text(signed_in("kitchen").get(reverse("order-cooling", args=[order.pk])))
    assert ("No time is left to reheat it and cool it once more before it leaves" in page) is discard
    assert ("does not mention a second attempt" in page) is not discard


def test_dividing_it_at_the_recipe_takes_the_mark_away(custard: Item) -> None:
    first, _ = ordered(), ordered()
    Recipe.objects.get(pk=custard.pk).steps.filter(kind="cook").update(vessels=3)
    catalog_changed()
    assert marks(first) == []


def test_an_order_that_breaks_it_alone_keeps_its_own_mark(custard: Item) -> None:
    ordered()
    Recipe.objects.get(pk=custard.pk).steps.filter(kind="chill").delete()
    catalog_changed()
    first = Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get()
    (mark,) = marks(first)
    assert (mark.together, mark.why) == (None, "no_cold_stage")
    assert mark_shown(mark).sentence.startswith("No step gets it cold")


def test_a_common_batch_that_was_measured_for_the_other_order_is_not_owed_again_after_an_edit(custard: Item) -> None:
    first, second = ordered(), ordered()
    for order in (first, second):
        order_start(order_id=order.pk, together=measuring(), by=BY, at=START)
    assert breaches_note(at=START) == 2
    data = RecordData(custard, [read(2, 68), read(6, 41)], "met", started_at=START, part=0, common=True)
    cooling_record_add(order_id=second.pk, data=data, by="tomas", at=AFTER)
    assert [mark.state for mark in marks(first)] == ["met"]
    Recipe.objects.get(code="custard").steps.filter(kind="cook").update(vessels=4)
    catalog_changed()
    assert broken({"custard-tart": 2 * UNITS}, book_current()) == ()
    (mark,) = marks(first)
    assert (mark.state, mark.together) == ("met", None)
    entry = AuditEntry.objects.get(document="order", document_pk=first.pk, event="cooling_breached")
    assert entry.params["items"][0]["orders"] == [first.pk, second.pk]
