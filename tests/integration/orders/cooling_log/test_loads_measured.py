"""A product made in several loads is measured load by load: one reading does not stand for the others."""

from dataclasses import replace

import pytest
from django.http import QueryDict
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from orders.cooling_log.deadlines import Limits
from orders.cooling_log.forms import RecordForm
from orders.cooling_log.measurables import Measurable
from orders.cooling_log.models import EVERY, CoolingRecord
from orders.cooling_log.presenters import mark_shown
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from orders.records.cooling_errors import (
    CountUnknown,
    LoadMissing,
    LoadsApartPlanned,
    NoSuchPart,
    ReadingTooSoon,
    WarmestMissing,
)
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import BY, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import START, TART, catalog_broken, mark_of, read, record, state
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db
MET = (read(1.5, 68), read(5, 40))


def form_data(item: Item) -> QueryDict:
    return QueryDict(f"item={item}&part=2")


def loads_order() -> Order:
    """An order of tarts that break the rule, and fill the oven twice."""
    cooling_kitchen_make(**DEEP)
    return order_make(table=table_make(lines=(line_make(TART, 30),), extras=()))


def test_one_of_two_loads_leaves_the_other_open() -> None:
    order = loads_order()
    order_start(order_id=order.pk, by=BY, at=START)
    record(order, *MET, part=1)
    assert state(order) == "owed"
    mark = mark_of(order)
    assert mark is not None
    assert mark.open_parts == (2,)
    assert "Number 2 of 2 is still to be measured." in mark_shown(mark).sentence
    record(order, *MET, part=2)
    assert state(order) == "met"


def test_a_discarded_load_does_not_hide_those_still_to_be_measured() -> None:
    order = loads_order()
    order_start(order_id=order.pk, by=BY, at=START)
    record(order, read(1.5, 68), read(5, 60), part=2, outcome="not_met", action="discarded")
    mark = mark_of(order)
    assert mark is not None
    assert (mark.state, mark.gone, mark.open_parts, mark.to_measure) == ("owed", (2,), (1,), True)
    shown = mark_shown(mark)
    assert "Load 2 of 2: discarded. Number 1 is still to be measured." in shown.sentence
    assert "does not go out" not in shown.after
    page = text(signed_in("kitchen").get(reverse("order", args=[order.pk])))
    assert "Measure the cooling of Custard tart" in page
    assert "Load 2 of 2 does not go out" in page
    record(order, *MET, part=1)
    mark = mark_of(order)
    assert mark is not None
    assert (mark.state, mark.to_measure) == ("not_met", False)
    assert "Load 2 of 2: the cooling rule was not met" in mark_shown(mark).sentence


def test_a_record_names_the_load() -> None:
    order = loads_order()
    with refused(LoadMissing, match="is made in 2 loads. Choose which of them was measured"):
        record(order, *MET, part=None)


@pytest.mark.parametrize("outcome", ["met", "cooling"])
def test_one_reading_does_not_stand_for_loads_that_leave_the_oven_one_after_the_other(outcome: str) -> None:
    order = loads_order()
    Product.objects.get(code=TART).steps.filter(name="Bake").update(minutes=45)
    catalog_changed()
    with refused(LoadsApartPlanned, match="leave the heat 45 minutes apart: number 1 at .*, number 2 at"):
        record(order, *MET[: 1 if outcome == "cooling" else 2], part=0, outcome=outcome)
    record(order, *MET, part=1)
    record(order, *MET, part=0, outcome="not_met", action="discarded")


def test_the_page_asks_for_the_load() -> None:
    order = loads_order()
    record(order, *MET, part=1)
    page = text(signed_in("kitchen").get(reverse("order-cooling", args=[order.pk])))
    assert "Vessel or load measured" in page
    assert "Load 1 of 2: " in page


def test_a_number_that_there_is_not_is_refused() -> None:
    custard = batch_kitchen_make(profile={"diameter_cm": "12", "height_cm": "1.2"}, vessels=1)
    order = order_make(table=table_make(lines=(line_make(TART, 6),), extras=()))
    order_start(order_id=order.pk, by=BY, at=START)
    with refused(NoSuchPart, "has no number 4"):
        record(order, *MET, item=Item("recipe", custard.pk), part=4)
    assert not CoolingRecord.objects.exists()
    assert record(order, *MET, item=Item("recipe", custard.pk), part=1).parts == 1


@pytest.mark.parametrize("part", [None, 1])
def test_one_piece_of_a_load_does_not_stand_for_the_others(part: int | None) -> None:
    cooling_kitchen_make(**DEEP)
    order = order_make(table=table_make(lines=(line_make(TART, 6),), extras=()))
    order_start(order_id=order.pk, by=BY, at=START)
    with refused(WarmestMissing, match="is 6 pieces in one load, and one piece does not stand for the others"):
        record(order, *MET, part=part)
    assert state(order) == "owed"
    record(order, *MET, part=0)
    assert state(order) == "met"


def test_where_nothing_states_how_many_there_are_a_number_does_not_stand_for_the_rest() -> None:
    order = loads_order()
    order_start(order_id=order.pk, by=BY, at=START)
    catalog_broken()
    with refused(CountUnknown, match="Nothing states in how many vessels or loads"):
        record(order, *MET, part=1)
    assert record(order, *MET, part=0).parts == EVERY
    assert state(order) == "met"


def test_what_is_made_in_more_loads_than_were_measured_has_some_open() -> None:
    cooling_kitchen_make(**DEEP)
    order = order_make(table=table_make(lines=(line_make(TART, 24),), extras=()))
    order_start(order_id=order.pk, by=BY, at=START)
    record(order, *MET, part=0)
    assert state(order) == "met"
    Product.objects.filter(code=TART).update(load=12)
    catalog_changed()
    mark = mark_of(order)
    assert mark is not None
    assert (mark.state, mark.open_parts) == ("owed", (2,))


def test_only_the_numbers_of_what_is_chosen_are_offered() -> None:
    one = Measurable(Item("product", 1), "Tart", Limits(), parts=2, alone=2, pieces=30)
    bowl = Measurable(Item("product", 2), "Bowl", Limits())
    form = {"items": [one, bowl], "month_first": True, "address": "/"}
    choices = {str(item): RecordForm(form_data(item), **form).fields["part"].choices for item in (one.item, bowl.item)}
    assert [key for key, _ in choices["product-1"]] == ["", "0", "1", "2"]
    assert [key for key, _ in choices["product-2"]] == ["", "1"]
    whole = RecordForm(None, **form | {"items": [replace(one, parts=1, alone=1)]}, initial={"item": "product-1"})
    assert [key for key, _ in whole.fields["part"].choices] == ["", "0"]


@pytest.mark.parametrize("outcome", ["met", "cooling"])
def test_what_is_cold_sooner_than_anything_cools_is_asked_about(outcome: str) -> None:
    cooling_kitchen_make(**DEEP)
    order = order_make(table=table_make(lines=(line_make(TART, 6),), extras=()))
    order_start(order_id=order.pk, by=BY, at=START)
    # Its slowest place likely takes hours: a tenth of that is more than twenty minutes.
    with refused(ReadingTooSoon, "sooner than it can be cold"):
        record(order, read(0.3, 40), read(5, 40), outcome=outcome)
    record(order, *MET)
    assert state(order) == "met"
