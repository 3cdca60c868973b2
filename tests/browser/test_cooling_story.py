"""A tart that breaks the cooling rule: the owner says what is measured instead, the kitchen measures it."""

from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.kitchen.selectors import kitchen_zone
from orders.cooling_log.models import CoolingRecord
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests import factories
from tests.batch_kitchen import batch_kitchen_make
from tests.browser.conftest import OpenPage, save_picture
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import line_make, table_make
from tests.integration.orders.builders import order_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
SignIn = Callable[[Page, User], None]
WIDTHS = [1280, 320]


def soon(days: int) -> datetime:
    """An afternoon some days from now, where the kitchen is."""
    return timezone.localtime(timezone.now(), kitchen_zone()).replace(hour=15, minute=30) + timedelta(days=days)


def tarts() -> Any:
    return table_make(lines=(line_make("custard-tart", 24),), extras=())


@pytest.fixture
def page_of(live_server: Any, open_page: OpenPage, sign_in: SignIn) -> Callable[..., Page]:
    """Return a function that opens a page as somebody of a role."""

    def opened(address: str, role: str = "owner", width: int = 1280) -> Page:
        page = open_page(width=width, reduced_motion="reduce")
        user = User.objects.filter(username=role).first() or factories.user_make(role, name=role)
        sign_in(page, user)
        page.goto(f"{live_server.url}{address}")
        return page

    return opened


def narrow(page: Page) -> int:
    """Return by how many pixels a page is wider than its window."""
    return int(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def test_the_owner_says_what_is_measured_instead_before_it_goes(page_of: Callable[..., Page], axe: Broken) -> None:
    cooling_kitchen_make(**DEEP)
    quote = factories.draft_make(at=timezone.now(), window_start=soon(40), table=tarts(), allergies=())
    page = page_of(reverse("quote-send", args=[quote.pk]))
    expect(page.get_by_text("is not cold in the time the rule asks for.").first).to_be_visible()
    save_picture(page, "cooling-not-yet")
    page.get_by_role("link", name="Record what is measured").first.click()
    expect(page.get_by_role("heading", name="Measurements instead of the cooling rule")).to_be_visible()
    page.get_by_label("Measured by").select_option("Somebody else")
    page.get_by_label("Name", exact=True).fill("Tomas")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Choose what is measured instead for Custard tart, 10 cm.").first).to_be_visible()
    expect(page.get_by_label("Name", exact=True)).to_have_value("Tomas")
    assert axe(page) == []
    save_picture(page, "cooling-override-error")
    page.get_by_label("Probe thermometer in the middle of the thickest piece").check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Measured instead.").first).to_be_visible()
    assert axe(page) == []
    save_picture(page, "cooling-may-go")
    page.get_by_label("The customer was not asked about allergies").check()
    page.get_by_role("button", name="Send quote").click()
    expect(page.get_by_text("sent", exact=True).first).to_be_attached()
    assert Quote.objects.get(pk=quote.pk).status == "sent"
    save_picture(page, "cooling-sent")


@pytest.mark.parametrize("width", WIDTHS)
def test_the_kitchen_measures_it(page_of: Callable[..., Page], axe: Broken, width: int) -> None:
    cooling_kitchen_make(**DEEP)
    begun = timezone.now() - timedelta(hours=7)
    order = order_make(at=begun - timedelta(days=3), window_start=soon(1), table=tarts())
    for name in ("day", "sheet-cold", "sheet-prep", "sheet-handover"):
        page = page_of(reverse(name), "kitchen", width)
        expect(page.get_by_text("Not cold in time by its steps.").first).to_be_visible()
        save_picture(page, f"cooling-{name}-{width}")
        assert axe(page) == []
        assert narrow(page) <= 0
    page = page_of(reverse("order", args=[order.pk]), "kitchen", width)
    save_picture(page, f"cooling-order-{width}")
    page.get_by_role("link", name="Record a measurement").first.click()
    expect(page.get_by_role("heading", name="Cooling", exact=True)).to_be_visible()
    save_picture(page, f"cooling-records-{width}")
    assert axe(page) == []
    assert narrow(page) <= 0
    local = timezone.localtime(begun, kitchen_zone())
    page.get_by_label("Day", exact=True).fill(local.date().isoformat())
    page.get_by_label("Cooling began at").fill(f"{local:%H:%M}")
    for number, (hours, degrees) in enumerate(((2, "68"), (6, "44")), start=1):
        page.get_by_label(f"Reading {number}, °F").fill(degrees)
        page.get_by_label(f"Time of reading {number}").fill(f"{local + timedelta(hours=hours):%H:%M}")
    page.get_by_label("Met: cold in time").check()
    page.get_by_label("Vessel or load measured").select_option("All of them; the readings are those of the warmest")
    # In the first hours of a day it began on the day before, which is not the day of its plan.
    page.get_by_label("This order is made from this batch").check()
    page.get_by_role("button", name="Record measurement").click()
    expect(page.get_by_text("warmer than 41 °F").first).to_be_visible()
    assert axe(page) == []
    save_picture(page, f"cooling-records-error-{width}")
    page.get_by_label("Reading 2, °F").fill("40")
    page.get_by_role("button", name="Record measurement").click()
    expect(page.get_by_text("Recorded: Custard tart, 10 cm.")).to_be_visible()
    save_picture(page, f"cooling-recorded-{width}")
    assert CoolingRecord.objects.get().recorded_by == "kitchen"
    assert Order.objects.get().cooling_records.count() == 1


def test_the_numbers_offered_are_those_of_what_is_chosen(page_of: Callable[..., Page]) -> None:
    batch_kitchen_make(depth_cm=Decimal(2))
    begun = timezone.now() - timedelta(hours=7)
    order = order_make(at=begun - timedelta(days=3), window_start=soon(1), table=tarts())
    page = page_of(reverse("order-cooling", args=[order.pk]), "kitchen", 390)
    which, numbers = page.get_by_label("Dessert or batch"), page.get_by_label("Vessel or load measured")
    which.select_option("Custard tart, 10 cm")
    expect(numbers.locator("option")).to_have_count(2)
    page.get_by_label("Note").fill("upper shelf")
    which.select_option("Baked custard")
    expect(numbers.locator("option", has_text="Number 2")).to_have_count(1)
    expect(page.get_by_label("Note")).to_have_value("upper shelf")
    assert narrow(page) <= 0
