"""A wedding is paid in full before the event: the schedule is picked, approved, requested, paid and read on a phone."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import Page

from catalog.kitchen.models import Kitchen
from orders.approvals.links import link_create
from orders.approvals.presenters import link_address
from orders.orders.models import Order
from tests.browser.conftest import OpenPage, look_at
from tests.factories import approved_make, kitchen_make, user_make
from tests.integration.orders.builders import pay

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Axe = Callable[[Page], list[str]]


def test_paid_in_full_before_the_event(
    open_page: OpenPage, live_server: Any, settings: Any, sign_in: Any, axe: Axe
) -> None:
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    cache.clear()
    kitchen_make()

    page = open_page(f"{live_server.url}/sign-in", width=1280)
    sign_in(page, user_make())
    page.goto(f"{live_server.url}/kitchen/bank/")
    page.get_by_label("Account holder").fill("Larkspur Lane Desserts LLC")
    page.get_by_label("Routing number").fill("111000026")
    page.get_by_label("Account number").fill("000123456789")
    page.get_by_role("button", name="Save").last.click()
    page.get_by_text("This routing number has a mistake").first.wait_for()
    look_at(page, axe, "payments-bank", 1280, 320)
    page.get_by_label("Routing number").fill("111000025")
    page.get_by_role("button", name="Save").last.click()
    page.get_by_text("The bank account and the payment page are saved.").wait_for()

    page.goto(f"{live_server.url}/kitchen/payments/")
    page.get_by_role("button", name="Deposit, paid in full 14 days before the event").click()
    page.get_by_text("Filled in. Save it to keep it.").wait_for()
    # Enter in a field saves; it picks no schedule.
    page.get_by_label("Due, days before the event").first.fill("21")
    look_at(page, axe, "payments-schedule", 1280, 320)
    page.get_by_label("Due, days before the event").first.press("Enter")
    page.get_by_text("The payment schedule is saved.").wait_for()
    assert Kitchen.objects.get().payments_before == [{"days": 21}]

    order = Order.objects.get(quote=approved_make())
    page.goto(f"{live_server.url}/orders/{order.pk}/")
    page.get_by_role("button", name="Request the next payment").click()
    page.get_by_text("Payment request PR-00001 issued.").wait_for()
    look_at(page, axe, "payments-order", 1280, 320)

    pay(order, order.deposit_minor, "deposit")
    address = link_address(link_create(quote_id=order.quote_id, at=timezone.now()))
    page = open_page(address, width=390)
    page.get_by_text("is due by").first.wait_for()
    assert page.get_by_text("111000025").count() == 1
    assert page.get_by_text("is paid. Thank you.").count() == 1
    assert page.get_by_role("link", name="Receipt as a PDF").count() == 1
    look_at(page, axe, "payments-customer", 390, 320)
