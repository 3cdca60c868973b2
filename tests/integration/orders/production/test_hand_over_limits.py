"""Today's time out of the cold on the hand-over list while the catalog cannot price."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.rates.models import Station
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import BY, EVENT
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import START, TART, deep_order, record
from tests.integration.orders.cooling_log.test_right_thing import earlier
from tests.starting import order_start

pytestmark = pytest.mark.django_db


def test_a_limit_entered_after_it_was_sent_is_on_the_sheet_while_the_catalog_cannot_price() -> None:
    cooling_kitchen_make(food_safety="eu", degrees="C")
    order_make(minutes=Decimal(35), setup_minutes=Decimal(40))
    Kitchen.objects.update(time_out_minutes=120, time_out_source="Our food safety plan")
    Station.objects.filter(code="cold-room").update(hourly="-1")
    catalog_changed()
    page = text(signed_in("kitchen").get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"))
    assert "Leaves the cold 2:15 PM: eat or throw away before 4:15 PM" in page
    assert "no time out is set" not in page


@pytest.mark.parametrize(("days", "aged"), [(1, False), (3, True)])
def test_what_was_measured_longer_ago_than_it_keeps_is_a_problem_on_the_list(days: int, *, aged: bool) -> None:
    order = deep_order()
    Product.objects.filter(code=TART).update(keeps_hours=48)
    order_start(order_id=order.pk, by=BY, at=START - timedelta(days=days - 1))
    record(order, *earlier(days - 1), started_at=START - timedelta(days=days - 1), made_from=True)
    cook = signed_in("kitchen")
    page = text(cook.get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"))
    assert "Measured: 41 °F on" in page
    assert ("Older than the 2 days it keeps: ask before it leaves." in page) is aged
    cold = text(cook.get(f"{reverse('sheet-cold')}?first={EVENT.date()}&last={EVENT.date()}"))
    assert ("Older than the 2 days it keeps: ask before it leaves." in cold) is aged
