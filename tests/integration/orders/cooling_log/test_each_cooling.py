"""Where several coolings of one dessert break the rule, each is measured for itself and named until it is."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.products.models import Product
from catalog.rates.models import Station
from orders.cooling_log.measurables import measurable
from orders.cooling_log.models import CoolingRecord, Reading, readings_written
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.going_out import check_goes_out
from orders.orders.models import Order
from orders.quotes.cooling.presenters import verdict_words
from orders.quotes.cooling.selectors import Item, broken
from orders.records.cooling_errors import ReadingOfOther, WaitsForOwner
from orders.records.errors import ChangedMeanwhile
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import BY, NOW, line_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, read, tart
from tests.integration.orders.cooling_log.test_pages import PERIOD, SHEETS
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db
BASE, GLAZE = "Chill overnight", "Set the glaze"
#: Cold in time out of the oven, and as cold in time once more the next morning.
FIRST = (read(1, 69), read(5, 40))
SECOND = (read(24, 50), read(27, 40))
LATER = AFTER + timedelta(hours=24)


@pytest.fixture
def glazed() -> Order:
    """A deep tart that is not cold in time out of the oven, and not after its glaze either."""
    return ordered(GLAZE)


def ordered(second: str) -> Order:
    product = cooling_kitchen_make(**DEEP)
    product.steps.filter(kind="chill").update(name=BASE, minutes=Decimal(3000))
    product.steps.create(
        position=90, name="Glaze", kind="finish", leaves_c=Decimal(10), minutes=Decimal(10), hands_fixed=1
    )
    cold = Station.objects.get(code="cold-room")
    product.steps.create(position=91, name=second, kind="chill", station=cold, minutes=Decimal(240))
    catalog_changed()
    order = order_make(table=table_make(lines=(line_make("custard-tart", 6),), extras=()))
    order_start(order_id=order.pk, by=BY, at=NOW)
    return Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get(pk=order.pk)


def mark(order: Order) -> CoolingMark:
    return cooling_marks([order])[order.pk][tart()]


def measured(order: Order, *readings: Reading, cooling: int | None = None, **facts: Any) -> CoolingRecord:
    began = START if readings[0].at < START + timedelta(hours=20) else START + timedelta(hours=23)
    facts = {"outcome": "met", "started_at": began, "part": 0, "made_from": True, **facts}
    data = RecordData(tart(), readings, cooling=cooling, **facts)
    return cooling_record_add(order_id=order.pk, data=data, by="tomas", at=LATER)


def shown(client: Client, order: Order, page: str = "order-cooling") -> str:
    return text(client.get(reverse(page, args=[order.pk])))


def test_one_that_was_met_leaves_the_other_open(glazed: Order) -> None:
    assert mark(glazed).open_coolings == (BASE, GLAZE)
    measured(glazed, *FIRST)
    assert (mark(glazed).state, mark(glazed).open_coolings) == ("owed", (GLAZE,))
    measured(glazed, *SECOND)
    assert (mark(glazed).state, mark(glazed).open_coolings) == ("met", ())


def test_the_last_says_nothing_of_the_one_before(glazed: Order) -> None:
    measured(glazed, *SECOND, cooling=2)
    assert (mark(glazed).state, mark(glazed).open_coolings) == ("owed", (BASE,))
    measured(glazed, *FIRST, cooling=1)
    assert mark(glazed).settled


def test_each_keeps_the_step_and_mark_it_was_measured_by(glazed: Order) -> None:
    one, two = measured(glazed, *FIRST), measured(glazed, *SECOND)
    assert (one.step, two.step) == (BASE, GLAZE)
    assert one.steps_mark == mark(glazed).steps_mark != two.steps_mark


def test_a_record_of_before_is_of_the_first(glazed: Order) -> None:
    CoolingRecord.objects.create(
        order=glazed,
        product_id=tart().pk,
        item="Custard tart",
        started_at=START,
        readings=readings_written(FIRST, BASE),
        outcome="met",
        steps_mark=mark(glazed).steps_mark,
        recorded_by="tomas",
        recorded_at=AFTER,
    )
    assert (mark(glazed).state, mark(glazed).open_coolings) == ("owed", (GLAZE,))


def test_each_open_one_is_named(glazed: Order, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    both = f"Still to be measured, each for itself: the coolings in “{BASE}” and “{GLAZE}”."
    owner = signed_in("owner")
    for page in ("order-cooling", "order"):
        assert both in shown(owner, glazed, page), page
    for sheet in (*SHEETS, "day"):
        assert both in text(owner.get(reverse(sheet), PERIOD)), sheet
    assert f"Measure the cooling of {mark(glazed).name}, “{BASE}” and “{GLAZE}”" in shown(owner, glazed, "order")
    measured(glazed, *FIRST)
    page = shown(owner, glazed)
    assert f"Still to be measured for itself: the cooling in “{GLAZE}”." in page
    assert f"For “{GLAZE}”:" in page


def test_a_reading_is_of_one_cooling_alone(glazed: Order) -> None:
    measured(glazed, *FIRST, cooling=1)
    with refused(ReadingOfOther, match=f"“{GLAZE}” is measured by readings of its own"):
        measured(glazed, *FIRST, cooling=2)


def test_the_hand_over_names_each_open_one(glazed: Order) -> None:
    marks = cooling_marks([glazed])[glazed.pk].values()
    with pytest.raises(WaitsForOwner) as refusal:
        check_goes_out(marks, "", None, (), owner=False)
    assert refusal.value.params["items"] == [f"{mark(glazed).name}, “{BASE}” and “{GLAZE}”"]


def test_the_same_sent_twice_is_one_record(glazed: Order) -> None:
    assert measured(glazed, *FIRST, cooling=1) == measured(glazed, *FIRST, cooling=1)


def test_a_cooling_that_there_is_not_is_refused(glazed: Order) -> None:
    with pytest.raises(ChangedMeanwhile):
        measured(glazed, *FIRST, cooling=3)


def test_one_that_was_not_met_is_not_hidden_by_the_other(glazed: Order) -> None:
    measured(glazed, *FIRST)
    measured(glazed, read(24, 60), outcome="not_met", action="reheated", cooling=2)
    assert mark(glazed).state == "not_met"


def test_what_is_made_anew_has_each_measured_again(glazed: Order) -> None:
    measured(glazed, *FIRST)
    measured(glazed, read(24, 60), outcome="not_met", action="discarded", cooling=2)
    assert mark(glazed).state == "not_met"
    assert mark(glazed).all_gone
    measured(glazed, read(26, 65), read(29, 40), cooling=1, started_at=START + timedelta(hours=25))
    assert (mark(glazed).state, mark(glazed).open_coolings) == ("owed", (GLAZE,))


def test_the_form_has_each_as_its_own_choice(glazed: Order, monkeypatch: pytest.MonkeyPatch) -> None:
    keys = [one.key for one in measurable(glazed) if one.item.kind == "product"]
    assert keys == [f"{tart()}-1", f"{tart()}-2"]
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    kitchen, page = signed_in("kitchen"), reverse("order-cooling", args=[glazed.pk])
    assert kitchen.get(page, {"item": str(tart())}).context["form"].initial["item"] == keys[0]
    sent = {"item": keys[0], "part": "0", "day": START.date().isoformat(), "started_time": "09:00", "outcome": "met"}
    sent |= {"readings-0-celsius": "69", "readings-0-time": "10:00"}
    sent |= {"readings-1-celsius": "40", "readings-1-time": "14:00", "made_from": "on"}
    answer = kitchen.post(page, sent)
    assert answer.status_code == 302, text(answer)
    assert kitchen.get(page, {"item": str(tart())}).context["form"].initial["item"] == keys[1]


def test_two_steps_of_one_name_are_two() -> None:
    order = ordered(BASE)
    steps = [step.name for step in Product.objects.get(code="custard-tart").steps.all()]
    numbers = [at for at, name in enumerate(steps, 1) if name == BASE]
    assert mark(order).open_coolings == tuple(f"{BASE} (step {number})" for number in numbers)


def test_review_names_the_rule_of_each(glazed: Order) -> None:
    (one,) = (one for one in broken({"custard-tart": 6}, book_current()) if one.item == Item("product", tart().pk))
    words = verdict_words(one)
    assert f"for “{BASE}”: United States, cooked food" in words
    assert f"for “{GLAZE}”: United States, made from ingredients at room temperature" in words
