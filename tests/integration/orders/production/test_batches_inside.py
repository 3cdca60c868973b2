"""A dessert’s own row names the bad batch in it, on every sheet; what is open is on the day page however far ahead."""

import csv
import io
from datetime import timedelta

import pytest
from django.urls import reverse

from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.production.day import the_day
from orders.production.labels import label_file
from orders.quotes.cooling.selectors import Item
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, TART, deep_order, read, record

pytestmark = pytest.mark.django_db
DAYS = f"?first={EVENT.date()}&last={EVENT.date()}"
NAMED = "Baked custard in it: The cooling rule was not met. Discarded: it does not go out."


def discarded(**facts: object) -> Order:
    """An order of tarts whose custard was thrown away."""
    custard = batch_kitchen_make(profile={"height_cm": "1.2"})
    order = order_make(table=table_make(lines=(line_make(TART, 24),), extras=()), **facts)
    data = RecordData(
        Item("recipe", custard.pk), [read(6, 60)], "not_met", started_at=START, action="discarded", part=0
    )
    cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)
    return order


def test_the_desserts_own_row_says_it_on_every_sheet() -> None:
    discarded()
    cook = signed_in("kitchen")
    for sheet in ("sheet-handover", "sheet-prep", "sheet-cold"):
        assert NAMED in text(cook.get(reverse(sheet) + DAYS)), sheet


def test_the_row_of_a_discarded_batch_says_that_it_does_not_go_out() -> None:
    discarded()
    page = text(signed_in("kitchen").get(reverse("sheet-cold") + DAYS))
    assert "Discarded: does not go out. The readings are of what is made anew." in page


def test_a_discarded_dessert_has_nothing_to_tick_on_the_hand_over_list() -> None:
    order = deep_order()
    record(order, read(2, 90), outcome="not_met", action="discarded")
    page = signed_in("kitchen").get(reverse("sheet-handover") + DAYS).content.decode()
    row = page[page.index("<tbody>") : page.index("</tbody>")]
    assert "Discarded: does not go out" in row
    assert 'class="tick"' not in row
    assert "throw away before" not in row


def test_a_dessert_whose_batch_was_discarded_has_nothing_to_tick_to_hold_or_to_put_in() -> None:
    order = discarded()
    cook = signed_in("kitchen")
    page = cook.get(reverse("sheet-handover") + DAYS).content.decode()
    row = page[page.index("<tbody>") : page.index("</tbody>")]
    assert "Discarded: does not go out" in row
    assert NAMED in " ".join(row.split())
    assert 'class="tick"' not in row
    assert "throw away before" not in row
    page = cook.get(reverse("sheet-cold") + DAYS).content.decode()
    row = page[page.index("<tbody>") : page.index("</tbody>")]
    assert "Discarded: does not go out" in row
    assert 'class="write"' not in row
    (record_,) = csv.DictReader(io.StringIO(label_file([order]).decode("utf-8-sig")))
    assert (record_["Pieces"], record_["Holding and serving"], record_["Serve by"]) == ("0", "", "")
    assert "The cooling rule was not met" in record_["Cooling"]


def test_what_is_in_production_or_open_is_on_the_day_page_however_far_ahead() -> None:
    order = discarded()
    (row,) = the_day(at=AFTER - timedelta(days=20)).coming
    assert row.order == order
