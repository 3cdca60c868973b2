"""The owner offers several times, the customer chooses one on a phone; what went to others reads taken."""

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.book.revision import catalog_changed
from catalog.products.models import ProductStep
from orders.approvals.links import link_create
from orders.approvals.models import Approval
from orders.approvals.presenters import link_address
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests import factories
from tests.browser.conftest import OpenPage, look_at
from tests.integration.orders.approvals.offered import (
    EARLIER,
    FRIDAY,
    SUNDAY,
    cakes_draft,
    checked,
    leaves_every_day,
    offering,
)
from tests.integration.orders.approvals.rings import approve, rings_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Axe = Callable[[Page], list[str]]
SignIn = Callable[[Page, User], None]
WIDTHS = (320, 390, 1280)


@pytest.fixture(autouse=True)
def kitchen(live_server: Any, settings: Any) -> None:
    """Let the small kitchen with its rings be there, and links lead to the running server."""
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    cache.clear()
    factories.kitchen_make()
    rings_make()
    leaves_every_day()


def address_of(quote: Quote) -> str:
    return link_address(link_create(quote_id=quote.pk, at=timezone.now()))


def look(page: Page, axe: Axe, name: str) -> None:
    """Check a page at each of the customer's widths."""
    look_at(page, axe, f"offered-{name}", *WIDTHS)
    page.set_viewport_size({"width": 390, "height": 900})


def test_a_couple_chooses_another_time_on_a_phone(open_page: OpenPage, axe: Axe) -> None:
    quote = offering(EARLIER, SUNDAY)
    page = open_page(address_of(quote), width=390)
    expect(page.get_by_label("Saturday, February 6, 2027, 3:30 PM to 4:00 PM")).to_be_checked()
    look(page, axe, "choose")
    page.get_by_label("Sunday, February 7, 2027").check()
    page.locator(".answer-bar").get_by_role("button", name="Review and approve").click()
    page.get_by_text("for Sunday, February 7, 2027, 3:30 PM to 4:00 PM, and commit").wait_for()
    look(page, axe, "review")
    page.get_by_role("link", name="Choose another time").click()
    expect(page.get_by_label("Sunday, February 7, 2027")).to_be_checked()
    page.get_by_role("button", name="Review and approve").first.click()
    page.get_by_label("Your full name, as you would sign").fill("Ida Fenwick")
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_text("Time chosen: Sunday, February 7, 2027, 3:30 PM to 4:00 PM").wait_for()
    look(page, axe, "approved")
    assert Approval.objects.get().window_start == SUNDAY
    assert Order.objects.get().window_start == SUNDAY


def test_what_went_to_others_reads_taken_and_cannot_be_chosen(open_page: OpenPage, axe: Axe) -> None:
    ProductStep.objects.filter(product__code="walnut-cake").update(hold_max=0)
    catalog_changed()
    first, second = offering(FRIDAY), offering(FRIDAY)
    approve(first)
    page = open_page(address_of(second), width=390, java_script_enabled=False)
    expect(page.get_by_label("Saturday, February 6, 2027, 3:30 PM to 4:00 PM Taken")).to_be_disabled()
    expect(page.get_by_label("Friday, February 5, 2027")).to_be_checked()
    page.get_by_role("button", name="Review and approve").first.click()
    page.get_by_label("Your full name, as you would sign").fill("Ida Fenwick")
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_text("Time chosen: Friday, February 5, 2027").wait_for()
    assert Order.objects.get(quote=second).window_start == FRIDAY


def test_the_owner_checks_the_times_to_offer(
    open_page: OpenPage, sign_in: SignIn, live_server: Any, axe: Axe, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: factories.NOW)
    draft = cakes_draft()
    page = open_page(width=1280)
    sign_in(page, factories.user_make())
    page.goto(f"{live_server.url}/quotes/{draft.pk}/send/")
    page.get_by_text("They are listed here when the check against the other orders is done.").wait_for()
    checked(draft)
    page.get_by_label("Sunday, February 7, 2027").check()
    look(page, axe, "offer")
    for name in ("not asked about allergies", "guests cannot eat some of this", "nothing says how"):
        boxes = page.get_by_label(name)
        if boxes.count():
            boxes.first.check()
    page.get_by_role("button", name="Send quote").click()
    page.get_by_text("Times to choose from").wait_for()
    assert [one.window_start for one in content_read(Quote.objects.get().content).offered] == [SUNDAY]
