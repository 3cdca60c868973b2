"""A customer's party is called off: the owner cancels by the terms, and the customer reads it on a phone."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import Page

from catalog.kitchen.models import Kitchen
from catalog.taxes.models import TaxCategory
from orders.approvals.links import link_create
from orders.approvals.presenters import link_address
from orders.orders.models import Order
from tests.browser.conftest import OpenPage, look_at
from tests.factories import approved_make, kitchen_make, user_make
from tests.integration.orders.builders import pay

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Axe = Callable[[Page], list[str]]


def test_canceling_by_the_terms_and_what_the_customer_reads(
    open_page: OpenPage, live_server: Any, settings: Any, sign_in: Any, axe: Axe
) -> None:
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    cache.clear()
    # The event is in February, and today is whenever this runs: so that one row always applies.
    kitchen_make(cancellation_table=[{"days": 730, "share": "0.25"}])
    Kitchen.objects.update(cancellation_tax=TaxCategory.objects.earliest("pk"))
    order = Order.objects.get(quote=approved_make())
    pay(order, 80000, "deposit")

    page = open_page(f"{live_server.url}/sign-in", width=390)
    sign_in(page, user_make())
    page.goto(f"{live_server.url}/orders/{order.pk}/cancel/")
    page.get_by_text("of the total is charged").first.wait_for()
    look_at(page, axe, "canceled-form", 390, 1280)
    page.get_by_label("The customer: the terms apply").check()
    page.get_by_label("Reason for canceling").fill("They moved away.")
    page.get_by_role("button", name="Cancel order").click()
    page.get_by_text("Canceled by the customer:").first.wait_for()
    order.refresh_from_db()
    assert order.retained_minor == 48969

    address = link_address(link_create(quote_id=order.quote_id, at=timezone.now()))
    page = open_page(address, width=390)
    page.get_by_text("the cancellation charge is 25% of the total: $489.69.").wait_for()
    page.get_by_text("We pay $310.31 back to you.").wait_for()
    # Seen: a canceled order was headed "Approved", said thank you, and offered its day for the calendar.
    assert "Canceled: " in (page.get_by_role("heading", level=1).text_content() or "")
    assert page.get_by_text("Thank you.").count() == 0
    assert page.get_by_role("link", name="Add the day to your calendar").count() == 0
    look_at(page, axe, "canceled-customer", 390, 320)
