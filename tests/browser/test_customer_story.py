"""A couple reads its quote on a phone, asks, comes back and approves; without a script, and by keyboard."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import Page

from orders.approvals.files import approval_document
from orders.approvals.links import link_create
from orders.approvals.models import Approval, Message
from orders.approvals.presenters import link_address
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests.browser.conftest import OpenPage, save_picture
from tests.factories import approved_make, kitchen_make, sent_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Axe = Callable[[Page], list[str]]
WIDTHS = (320, 1280)


@pytest.fixture
def address(live_server: Any, settings: Any) -> Callable[[Quote], str]:
    """Return a function that makes a private link on the running server."""
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    cache.clear()
    kitchen_make(cancellation_terms="Up to 30 days before: the deposit comes back.")
    return lambda quote: link_address(link_create(quote_id=quote.pk, at=timezone.now()))


def fits(page: Page) -> bool:
    """Return whether nothing has to be scrolled sideways."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))


def look(page: Page, axe: Axe, name: str) -> None:
    """Check a page at both widths against the accessibility rules, once its styles are there."""
    page.wait_for_load_state()
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        assert fits(page), f"{name} at {width}"
        assert axe(page) == [], f"{name} at {width}"
        save_picture(page, f"customer-{name}-{width}")


def test_reading_asking_and_approving_on_a_phone(
    open_page: OpenPage, address: Callable[[Quote], str], axe: Axe
) -> None:
    quote = sent_make()
    page = open_page(address(quote), width=320)
    assert page.url.endswith(f"/q/{quote.pk}/"), "the token is gone from the address"
    look(page, axe, "quote-page")

    page.get_by_role("link", name="Ask for a change").click()
    page.get_by_label("What should be different?").wait_for()
    look(page, axe, "change")
    page.get_by_label("What should be different?").fill("Ten more custard tarts")
    page.get_by_role("button", name="Send it to the kitchen").click()
    page.get_by_text("The kitchen has your wish").wait_for()
    assert Message.objects.get().text == "Ten more custard tarts"

    page.get_by_role("link", name="Go on to approve").click()
    page.get_by_role("button", name="Approve and commit to pay").wait_for()
    look(page, axe, "check")
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_role("alert").wait_for()
    assert page.title().startswith("Error: ")
    look(page, axe, "check-error")
    page.get_by_role("link", name="Write your name, as you would sign.").click()
    page.keyboard.type("Ida Fenwick")
    page.get_by_role("button", name="Approve and commit to pay").click()

    page.get_by_role("heading", name="Approved: Wedding of Ida and Jonas", level=1).wait_for()
    look(page, axe, "approved")
    assert Approval.objects.get().name == "Ida Fenwick"
    page.goto(f"{page.url}approve/")
    page.get_by_text("What happens next").wait_for()
    assert Order.objects.count() == 1


def test_without_a_script_everything_works(open_page: OpenPage, address: Callable[[Quote], str]) -> None:
    quote = sent_make()
    page = open_page(address(quote), width=320, java_script_enabled=False)
    page.get_by_role("link", name="Go on to approve").click()
    page.get_by_label("Your name, as you would sign").fill("Jonas Fenwick")
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_role("heading", name="What happens next").wait_for()
    page.go_back()
    page.get_by_role("heading", name="What happens next").wait_for()
    assert Approval.objects.get().name == "Jonas Fenwick"


def test_the_keyboard_alone_says_yes(open_page: OpenPage, address: Callable[[Quote], str]) -> None:
    quote = sent_make()
    page = open_page(address(quote))
    _tab_to(page, "Go on to approve")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Check what you approve").wait_for()
    _tab_to(page, "")
    page.keyboard.type("Ida Fenwick")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="What happens next").wait_for()


def _tab_to(page: Page, label: str) -> None:
    """Press Tab until the link of this name, or the first field, has the focus."""
    wanted = (
        "document.activeElement.tagName === 'INPUT'"
        if not label
        else (f"document.activeElement.textContent.trim() === {label!r}")
    )
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate(wanted):
            return
    pytest.fail(f"Tab never reaches {label or 'the field'}")


def test_declining_and_files_on_both_widths(open_page: OpenPage, address: Callable[[Quote], str], axe: Axe) -> None:
    waiting, approved = sent_make(), approved_make()
    approval_document(approval_id=Approval.objects.get().pk, at=timezone.now())
    page = open_page(address(approved))
    for label, ending in (("Keep what you approved (PDF)", "-approved.pdf"), ("Put the day in your calendar", ".ics")):
        with page.expect_download() as download:
            page.get_by_role("link", name=label).click()
        assert download.value.suggested_filename.endswith(ending)

    page.goto(address(waiting))
    page.get_by_role("link", name="Decline this quote").click()
    page.get_by_label("Why not?").wait_for()
    look(page, axe, "decline")
    page.get_by_label("Why not?").fill("We elope.")
    page.get_by_role("button", name="Decline the quote").click()
    page.get_by_text("This quote was declined on").wait_for()
    look(page, axe, "declined")
