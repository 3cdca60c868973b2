"""What cools twice by two rules names the step of each, and is measured by the one that it breaks."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.products.models import ProductStep
from catalog.rates.models import Station
from orders.cooling_log.measurables import measurable
from orders.cooling_log.models import Reading, readings_written
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.presenters import verdict_words
from orders.quotes.cooling.selectors import broken
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import BY, NOW, line_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
COOKED = "United States, cooked food"
AMBIENT = "United States, made from ingredients at room temperature"


@pytest.fixture
def glazed() -> Order:
    """A tart so deep that it is not cold in time out of the oven, and that is glazed and chilled once more."""
    tart = cooling_kitchen_make(**DEEP)
    tart.steps.filter(kind="chill").update(name="Chill overnight", minutes=Decimal(3000))
    tart.steps.create(
        position=90, name="Glaze", kind="finish", leaves_c=Decimal(10), minutes=Decimal(10), hands_fixed=1
    )
    tart.steps.create(
        position=91,
        name="Set the glaze",
        kind="chill",
        station=Station.objects.get(code="cold-room"),
        minutes=Decimal(240),
    )
    catalog_changed()
    order = order_make(table=table_make(lines=(line_make("custard-tart", 6),), extras=()))
    return Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get(pk=order.pk)


def test_review_and_log_name_the_same_step_and_its_rule(glazed: Order) -> None:
    (one,) = (one for one in broken({"custard-tart": 6}, book_current()) if one.item.kind == "product")
    assert f"(for “Chill overnight”: {COOKED}" in verdict_words(one)
    first, second = (each.limits for each in measurable(glazed) if each.item == one.item)
    assert (first.rule, first.part) == (one.rule, "Chill overnight")
    assert second.rule.startswith(AMBIENT)
    assert second.part == "Set the glaze"
    page = text(signed_in("kitchen").get(reverse("order-cooling", args=[glazed.pk])))
    assert f"For “Chill overnight”: {COOKED}" in page
    assert f"For “Set the glaze”: {AMBIENT}" in page


def test_what_keeps_its_rule_beside_is_named_with_its_own(glazed: Order) -> None:
    ProductStep.objects.filter(name="Glaze").update(leaves_c=Decimal(4))
    catalog_changed()
    (found,) = (each.limits for each in measurable(glazed) if each.item.kind == "product")
    assert found.part == "Chill overnight"
    assert [(step, rule.startswith(AMBIENT)) for step, rule in found.others] == [("Set the glaze", True)]


def test_what_cools_once_names_no_step() -> None:
    cooling_kitchen_make(**DEEP)
    (one,) = (one for one in broken({"custard-tart": 6}, book_current()) if one.item.kind == "product")
    assert f"the rule asks for ({COOKED}" in verdict_words(one)


@pytest.mark.parametrize("outcome", ["cooling", "not_met"])
def test_what_was_measured_names_the_cooling_it_was_of(glazed: Order, outcome: str) -> None:
    one = next(each for each in measurable(glazed) if each.item.kind == "product")
    began = NOW + timedelta(days=22)
    reading = Reading(began + timedelta(minutes=20), Decimal(60))
    data = RecordData(one.item, [reading], outcome, started_at=began, part=0, made_from=True)
    data = replace(data, action="discarded" if outcome == "not_met" else "")
    cooling_record_add(order_id=glazed.pk, data=data, by=BY, at=began + timedelta(hours=1))
    owner = signed_in("owner")
    for page in ("order-cooling", "order"):
        assert "“Chill overnight”, 140 °F on" in text(owner.get(reverse(page, args=[glazed.pk])))


def test_what_cools_once_is_measured_without_naming_a_step() -> None:
    cooling_kitchen_make(**DEEP)
    order = order_make(table=table_make(lines=(line_make("custard-tart", 6),), extras=()))
    (one,) = (each for each in measurable(order) if each.item.kind == "product")
    assert one.limits.part == ""
    assert readings_written([Reading(NOW, Decimal(4))], one.limits.part) == [{"at": NOW.isoformat(), "c": "4"}]
