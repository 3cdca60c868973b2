"""A limit of time out of the cold that the house enters after a quote went out: the shorter one counts everywhere."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from orders.approvals.links import link_create
from orders.orders.models import Order
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import EVENT, sent_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
#: The window is 15:30 to 16:30; it leaves 75 minutes before.
WAY: dict[str, Any] = {"minutes": Decimal(35), "setup_minutes": Decimal(40)}


def limited(minutes: int) -> None:
    Kitchen.objects.update(time_out_minutes=minutes, time_out_source="Our food safety plan, March 2026")
    catalog_changed()


def page(client: Client, address: str) -> str:
    return " ".join(client.get(address).content.decode().split())


def sheet(client: Client) -> str:
    return page(client, f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}")


def test_the_sheet_has_one_limit_the_shorter() -> None:
    cooling_kitchen_make()
    order_make(**WAY)
    client = signed_in("kitchen")
    assert "At most 4 h out of the cold" in sheet(client)
    limited(80)
    found = sheet(client)
    assert "At most 4 h" not in found
    assert "Keep at 41 °F or colder. Serve within 1 h 20 min of our leaving, so by 3:35 PM" in found
    assert "Leaves the cold 2:15 PM: eat or throw away before 3:35 PM" in found


def test_an_order_whose_window_is_too_late_by_it_is_marked_on_order_and_day(monkeypatch: pytest.MonkeyPatch) -> None:
    cooling_kitchen_make()
    order: Order = order_make(**WAY)
    words = "By your limit of 1 h 20 min, to be eaten by 3:35 PM: Custard tart, 10 cm; "
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT.replace(hour=7))
    addresses = (reverse("day"), reverse("order", args=[order.pk]))
    client = signed_in("owner")
    for address in addresses:
        assert "By your limit" not in page(client, address)
    limited(80)
    for address in addresses:
        found = page(client, address)
        assert words in found, address
        assert "Change the window or tell the customer." in found


def test_a_limit_that_fits_the_window_marks_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    cooling_kitchen_make()
    order_make(**WAY)
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT.replace(hour=7))
    limited(200)
    assert "By your limit" not in page(signed_in("owner"), reverse("day"))


def test_the_customers_page_of_an_open_quote_goes_by_the_shorter() -> None:
    cooling_kitchen_make()
    quote = sent_make(**WAY)
    limited(80)
    client = Client()
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]))
    found = page(client, reverse("quote-page", args=[quote.pk]))
    assert "At most 4 h" not in found
    assert "Serve within 1 h 20 min of our leaving" in found
    assert "Less time out of the cold." in found


def test_where_no_rule_stated_a_time_the_limit_is_on_the_sheet_too() -> None:
    cooling_kitchen_make(food_safety="eu", degrees="C")
    order_make(**WAY)
    client = signed_in("kitchen")
    assert "no time out is set" in sheet(client)
    limited(120)
    found = sheet(client)
    assert "Leaves the cold 2:15 PM: eat or throw away before 4:15 PM" in found
    assert "no time out is set" not in found
