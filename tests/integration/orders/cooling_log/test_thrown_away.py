"""What of a batch was thrown away, and for which order, on the sheets: one vessel of several is not all of it."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.recipes.models import RecipeStep
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.production.labels import label_file
from orders.quotes.cooling.selectors import Item
from tests.factories import BY, EVENT
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.cooling_log.measuring import AFTER, START, read
from tests.integration.orders.cooling_log.test_batch_as_made import mark_of, ordered
from tests.integration.orders.cooling_log.test_together import custard
from tests.integration.orders.register.test_register import signed_in
from tests.starting import order_start

pytestmark = pytest.mark.django_db
__all__ = ["custard"]
DESSERT = "Baked custard in it"


@pytest.fixture
def apart(custard: Item) -> tuple[Order, Order]:
    """Two orders that are in production, whose custard stands in two tubs and is made in a batch for each."""
    RecipeStep.objects.filter(kind="cook").update(vessels=2)
    catalog_changed()
    orders = ordered(6), ordered(6, days=2)
    for order in orders:
        order_start(order_id=order.pk, by=BY, at=START)
    return orders


def measured(order: Order, custard: Item, part: int, *, met: bool) -> None:
    readings = [read(2, 68), read(6, 40)] if met else [read(3, 90)]
    outcome, action, note = ("met", "", "") if met else ("not_met", "discarded", "Too warm")
    data = RecordData(custard, readings, outcome, started_at=START, action=action, part=part, note=note, made_from=True)
    cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)


def sheet(client: Client, name: str) -> str:
    days = {"first": EVENT.date().isoformat(), "last": EVENT.date().replace(day=EVENT.day + 2).isoformat()}
    return text(client.get(reverse(name), days))


def test_the_prep_list_says_which_orders_batch_was_thrown_away_and_at_the_work_too(
    apart: tuple[Order, Order], custard: Item
) -> None:
    (gone, _), cook = apart, signed_in("kitchen")
    measured(gone, custard, 0, met=False)
    page = sheet(cook, "sheet-prep")
    assert f"{gone.number}, {DESSERT}: The cooling rule was not met. Discarded: it does not go out." in page
    work = page.split("The work")[1]
    assert f"Not for {gone.number}: Baked custard was discarded. Make it again first." in work
    assert "Discarded: does not go out" in sheet(cook, "sheet-handover")


def test_one_vessel_thrown_away_is_not_the_whole_batch(apart: tuple[Order, Order], custard: Item) -> None:
    (order, _), cook = apart, signed_in("kitchen")
    measured(order, custard, 2, met=False)
    page = sheet(cook, "sheet-prep")
    assert f"{DESSERT}: Still to be measured. Ask before it leaves. Vessel 2 of 2: discarded. Number 1 is still" in page
    assert (
        f"For {order.number} use nothing from Baked custard, Vessel 2 of 2: it was discarded."
        in page.split("The work")[1]
    )
    measured(order, custard, 1, met=True)
    mark = mark_of(order, custard)
    assert (mark.to_remake, mark.all_gone) == (True, False)
    words = "Vessel 2 of 2: the cooling rule was not met. Discarded: it does not go out. The rest was cold in time."
    for name in ("sheet-prep", "sheet-cold", "sheet-handover"):
        found = sheet(cook, name)
        assert f"{DESSERT}: {words}" in found, name
        assert "Discarded: does not go out" not in found, name
    assert label_file([order]).decode().count(",0,") == 0
    owner = text(signed_in("owner").get(reverse("order", args=[order.pk])))
    assert "Make a part of Baked custard again: Vessel 2 of 2 was thrown away" in owner
