"""Today's time out of the cold on the hand-over list while the catalog cannot price."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.rates.models import Station
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import EVENT
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


def test_a_limit_entered_after_it_was_sent_is_on_the_sheet_while_the_catalog_cannot_price() -> None:
    cooling_kitchen_make(food_safety="eu", degrees="C")
    order_make(minutes=Decimal(35), setup_minutes=Decimal(40))
    Kitchen.objects.update(time_out_minutes=120, time_out_source="Our food safety plan")
    Station.objects.filter(code="cold-room").update(hourly="-1")
    catalog_changed()
    page = text(signed_in("kitchen").get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"))
    assert "Leaves the cold 2:15 PM, eaten or thrown away before 4:15 PM" in page
    assert "no time out is set" not in page
