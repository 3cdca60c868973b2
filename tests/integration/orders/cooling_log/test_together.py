"""Batches of one recipe that several orders of a day make together, and that break a rule each order alone keeps."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.recipes.models import Recipe
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import CoolingMark, cooling_marks, measurable
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.production.labels import label_file
from orders.quotes.cooling.selectors import Item, broken
from orders.records.states import OrderStatus
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, read
from tests.integration.orders.register.test_register import signed_in

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
    assert "make it in 2 batches, one after the other" in words
    assert "divide it over 2 × Tub" in words


def test_orders_of_another_day_and_orders_that_are_over_are_not_made_together(custard: Item) -> None:
    first = ordered()
    ordered(window_start=EVENT + timedelta(days=1), window_end=EVENT + timedelta(days=1, hours=1))
    over = ordered()
    assert len(marks(first)) == 1
    Order.objects.filter(pk=over.pk).update(status=OrderStatus.DELIVERED)
    assert marks(first) == []


def test_a_sheet_for_several_days_makes_them_together_and_says_so(custard: Item) -> None:
    first = ordered()
    second = ordered(window_start=EVENT + timedelta(days=1), window_end=EVENT + timedelta(days=1, hours=1))
    assert marks(first) == marks(second) == []
    found = cooling_marks([first, second], at_once=True)
    assert {pk: list(items) for pk, items in found.items()} == {first.pk: [custard], second.pk: [custard]}
    client = signed_in("kitchen")
    days = PERIOD | {"last": (EVENT + timedelta(days=1)).date().isoformat()}
    for name in ("sheet-prep", "sheet-cold"):
        assert "when made as one batch for" in client.get(reverse(name), days).content.decode(), name
    # What is marked there can be measured.
    assert custard in [one.item for one in measurable(first)]


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
        assert "Keeps the rule. " not in page, address
        assert "note good" not in page, address
    assert label_file([first]).decode().count("when made as one batch for") == 1
    data = RecordData(custard, [read(2, 68), read(6, 40)], "met", started_at=START, part=0)
    cooling_record_add(order_id=second.pk, data=data, by="tomas", at=AFTER)
    for address in addresses:
        page = " ".join(client.get(address, PERIOD).content.decode().split())
        assert "when made as one batch" not in page, address
        if "batches" not in address:
            assert "Measured: 40 °F on Friday, February 5, 2027, 3:00 PM by tomas." in page, address
    assert "when made as one batch for" not in label_file([first]).decode()


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
