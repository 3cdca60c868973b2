"""A couple reads its quote on a phone, asks, comes back and approves; without a script, and by keyboard."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import Page

from orders.approvals.files import approval_document
from orders.approvals.links import link_create
from orders.approvals.models import Approval, Message
from orders.approvals.presenters import link_address
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests.browser.conftest import OpenPage, look_at, save_picture
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
    """Check a page at each of the customer's widths."""
    look_at(page, axe, f"customer-{name}", *WIDTHS)


def test_reading_asking_and_approving_on_a_phone(
    open_page: OpenPage, address: Callable[[Quote], str], axe: Axe
) -> None:
    quote = sent_make()
    page = open_page(address(quote), width=320)
    assert page.url.endswith(f"/q/{quote.pk}/"), "the token is gone from the address"
    look(page, axe, "quote-page")

    page.get_by_role("link", name="Ask for a change").click()
    page.get_by_label("What would you like to change?").wait_for()
    look(page, axe, "change")
    page.get_by_label("What would you like to change?").fill("Ten more custard tarts")
    page.get_by_role("button", name="Send message").click()
    page.get_by_text("We will answer.").wait_for()
    assert Message.objects.get().text == "Ten more custard tarts"

    page.get_by_role("link", name="Review and approve").last.click()
    page.get_by_role("button", name="Approve and commit to pay").wait_for()
    look(page, axe, "check")
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_role("alert").wait_for()
    assert page.title().startswith("Error: ")
    look(page, axe, "check-error")
    page.get_by_role("link", name="Enter your full name, as you would sign.").click()
    page.keyboard.type("Ida Fenwick")
    page.get_by_role("button", name="Approve and commit to pay").click()

    page.get_by_role("heading", name="Approved: Wedding of Ida and Jonas", level=1).wait_for()
    look(page, axe, "approved")
    assert Approval.objects.get().name == "Ida Fenwick"
    page.goto(f"{page.url}approve/")
    page.get_by_text("What happens next").wait_for()
    assert Order.objects.count() == 1


@pytest.fixture
def wedding(monkeypatch: pytest.MonkeyPatch) -> None:
    """Show the wedding of the demo, six desserts and two needs, in place of any quote's own content."""
    stored = (Path(__file__).parent / "wedding.json").read_text(encoding="utf-8")
    stored = stored.replace("2026-12-", "2036-12-")
    monkeypatch.setattr("orders.approvals.quote_page.content_agreed", lambda _quote: content_read(stored))
    monkeypatch.setattr("orders.approvals.quote_page.QuotePage.note_was_before", False)


#: Room for the picture of the first dessert, 6 rem with its margin, and for the kitchen's logo [px].
PICTURES = 140
#: The most of the whole page, three screens of a phone [px].
LONGEST = 2500


@pytest.mark.usefixtures("wedding")
def test_the_first_screen_of_a_phone_has_names_day_total_and_the_button(
    open_page: OpenPage, address: Callable[[Quote], str], axe: Axe
) -> None:
    page = open_page(address(sent_make()), width=390)
    page.set_viewport_size({"width": 390, "height": 844})
    for part in (
        page.get_by_role("heading", name="Wedding of Ida and Jon", level=1),
        page.get_by_text("We would be glad to make your table."),
        page.get_by_text("December 19, 2036, 4:00 PM to 4:45 PM"),
        page.get_by_text("Delivered to Millrace Barn, Lower Sedge"),
        page.locator(".essentials .total"),
        page.get_by_role("link", name="Review and approve").last,
    ):
        box = part.bounding_box()
        assert box is not None
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= 844, box
    height = page.evaluate("document.documentElement.scrollHeight")
    assert height + PICTURES <= LONGEST, height
    look(page, axe, "wedding")
    page.set_viewport_size({"width": 390, "height": 844})
    save_picture(page, "customer-wedding-390")


@pytest.mark.usefixtures("wedding")
def test_the_bar_covers_nothing_that_has_the_focus_and_goes_where_text_is_large(
    open_page: OpenPage, address: Callable[[Quote], str]
) -> None:
    page = open_page(address(sent_make()), width=390)
    page.set_viewport_size({"width": 390, "height": 844})
    bar = page.locator(".answer-bar")
    for _ in range(30):
        page.keyboard.press("Tab")
        hidden = page.evaluate(
            """() => { const at = document.activeElement, bar = document.querySelector('.answer-bar');
            if (at === document.body || bar.contains(at)) return false;
            const a = at.getBoundingClientRect(), b = bar.getBoundingClientRect();
            return a.bottom > b.top && a.top < b.bottom; }"""
        )
        assert not hidden, page.evaluate("document.activeElement.textContent")
    assert bar.evaluate("bar => getComputedStyle(bar).position") == "sticky"
    # Text of twice the size on the same phone is a window of half the lines.
    page.set_viewport_size({"width": 320, "height": 420})
    assert bar.evaluate("bar => getComputedStyle(bar).position") == "static"
    assert page.get_by_role("link", name="Review and approve").first.is_visible()
    page.emulate_media(media="print")
    assert not bar.is_visible()


def test_the_way_back_keeps_the_name(open_page: OpenPage, address: Callable[[Quote], str]) -> None:
    page = open_page(address(sent_make()), width=390, java_script_enabled=False)
    page.get_by_role("link", name="Review and approve").last.click()
    page.get_by_label("Your full name, as you would sign").fill("Ida Fen")
    page.get_by_role("button", name="Back to the quote").click()
    page.get_by_role("link", name="Review and approve").last.click()
    assert page.get_by_label("Your full name, as you would sign").input_value() == "Ida Fen"


def test_without_a_script_everything_works(open_page: OpenPage, address: Callable[[Quote], str]) -> None:
    quote = sent_make()
    page = open_page(address(quote), width=320, java_script_enabled=False)
    page.get_by_role("link", name="Review and approve").last.click()
    page.get_by_label("Your full name, as you would sign").fill("Ida Fenwick")
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_role("heading", name="What happens next").wait_for()
    page.go_back()
    page.get_by_role("heading", name="What happens next").wait_for()
    assert Approval.objects.get().name == "Ida Fenwick"


def test_another_name_is_asked_about_once(open_page: OpenPage, address: Callable[[Quote], str]) -> None:
    page = open_page(address(sent_make()), width=320, java_script_enabled=False)
    page.get_by_role("link", name="Review and approve").last.click()
    page.get_by_label("Your full name, as you would sign").fill("Jonas Fenwick")
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_role("alert").get_by_text("The quote is for Ida Fenwick.").wait_for()
    page.get_by_label("“Jonas Fenwick” is only a name").check()
    page.get_by_role("button", name="Approve and commit to pay").click()
    page.get_by_role("heading", name="What happens next").wait_for()
    assert Approval.objects.get().name == "Jonas Fenwick"
    assert not Message.objects.exists()


def test_the_keyboard_alone_says_yes(open_page: OpenPage, address: Callable[[Quote], str]) -> None:
    quote = sent_make()
    page = open_page(address(quote))
    _tab_to(page, "Review and approve")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Review and approve").wait_for()
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
    for label, ending in (
        ("Download what you approved (PDF)", "-approved.pdf"),
        ("Add the day to your calendar", ".ics"),
    ):
        with page.expect_download() as download:
            page.get_by_role("link", name=label).click()
        assert download.value.suggested_filename.endswith(ending)

    page.goto(address(waiting))
    page.get_by_role("link", name="Decline quote").click()
    page.get_by_label("Your reason").wait_for()
    look(page, axe, "decline")
    page.get_by_label("Your reason").fill("We elope.")
    page.get_by_role("button", name="Decline this quote").click()
    page.get_by_text("This quote was declined on").wait_for()
    look(page, axe, "declined")
