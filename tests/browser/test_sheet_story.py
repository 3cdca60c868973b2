"""The sheet of an inquiry on a desk and a phone: what is in view, what looks stale, what is not lost."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Locator, Page, Route, expect

from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from tests import factories
from tests.browser.conftest import OpenPage, save_picture

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
Opened = Callable[..., Page]
DESK, PHONE, SMALL = (1280, 800), (390, 844), (320, 640)


@pytest.fixture
def quote(live_server: Any) -> Quote:
    """A wedding's draft, with another event on its day."""
    factories.kitchen_make()
    ahead = timezone.now() + timedelta(days=60)
    factories.inquiry_make(at=timezone.now(), window_start=ahead, title="Board lunch")
    return factories.draft_make(at=timezone.now(), window_start=ahead, allergies=("eggs", "tree-nuts"))


@pytest.fixture
def sheet(
    quote: Quote, live_server: Any, open_page: OpenPage, sign_in: Callable[[Page, User], None]
) -> Callable[..., Page]:
    """Return a function that opens the sheet as the owner in a window of a size."""
    user = factories.user_make()

    def opened(size: tuple[int, int] = DESK, **options: Any) -> Page:
        page = open_page(reduced_motion="reduce", **options)
        page.set_viewport_size({"width": size[0], "height": size[1]})
        sign_in(page, user)
        page.goto(f"{live_server.url}{reverse('inquiry', args=[quote.inquiry_id])}")
        return page

    return opened


def in_view(page: Page, one: Locator, above: float | None = None) -> bool:
    """Return whether an element is all in the window, above a line where one is given."""
    box, size = one.bounding_box(), page.viewport_size
    assert box is not None
    assert size is not None
    bottom = size["height"] if above is None else above
    return bool(box["y"] >= 0 and box["y"] + box["height"] <= bottom)


def top_of_bar(page: Page) -> float:
    box = page.locator(".figures").bounding_box()
    assert box is not None
    return float(box["y"])


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_the_first_product_and_the_figures_are_in_the_first_screen(sheet: Opened, size: tuple[int, int]) -> None:
    page = sheet(size)
    figures = page.locator(".figures")
    bar = top_of_bar(page) if size == PHONE else None
    assert in_view(page, page.locator("#id_lines-0-product"), bar)
    assert in_view(page, figures)
    expect(figures).to_contain_text("Total")
    expect(figures).to_contain_text("Per guest")
    expect(figures).to_contain_text("floor")
    expect(page.locator(".event")).to_contain_text("Board lunch")


@pytest.mark.parametrize("size", [DESK, PHONE, SMALL])
def test_the_figures_stay_in_view_and_cover_nothing_that_gets_the_focus(
    sheet: Opened, size: tuple[int, int], axe: Broken
) -> None:
    page = sheet(size)
    assert axe(page) == []
    save_picture(page, f"sheet-{size[0]}")
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    assert in_view(page, page.locator(".figures"))
    if size == DESK:
        return
    foot = page.locator(".foot a")
    assert in_view(page, foot, top_of_bar(page)), "the end of the page is not under the bar"
    for field in page.locator("form[data-figures] :is(input:not([type=hidden]), select, button):visible").all():
        field.focus()
        assert in_view(page, field, top_of_bar(page))
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0


def test_large_text_leaves_room_to_read_beside_the_figures(sheet: Opened) -> None:
    page = sheet((320, 256))  # a desk at 400 %
    position = page.locator(".figures").evaluate("one => getComputedStyle(one).position")
    assert position == "static"
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0


def test_figures_look_stale_until_the_answer_to_the_last_keystroke_is_there(sheet: Opened) -> None:
    page = sheet()
    waiting: list[Route] = []
    page.route("**/table/", lambda route: waiting.append(route))
    box, height = page.locator("#draft-estimate"), page.locator(".figures").bounding_box()
    before = page.locator("[data-total]").inner_text()
    page.locator("#id_lines-1-units").fill("84")
    expect(box).to_have_attribute("aria-busy", "true")
    expect(page.get_by_text("updating…")).to_be_visible()
    assert page.locator("[data-total]").evaluate("one => getComputedStyle(one).opacity") == "0.45"
    assert page.locator("#lines-1-sum").evaluate("one => getComputedStyle(one).opacity") == "0.45"
    assert page.locator(".figures").bounding_box() == height, "nothing jumps"
    page.wait_for_timeout(400)
    # Typed once more while the first answer is on its way: that answer is not what is true.
    page.locator("#id_lines-1-units").evaluate(
        "one => { one.value = '96'; one.dispatchEvent(new Event('input', {bubbles: true})) }"
    )
    waiting.pop(0).continue_()
    page.wait_for_timeout(60)
    expect(box).to_have_attribute("aria-busy", "true")
    page.wait_for_timeout(400)
    for route in waiting:
        route.continue_()
    expect(box).not_to_have_attribute("aria-busy", "true")
    expect(page.get_by_text("updating…")).to_be_hidden()
    expect(page.locator("#lines-1-sum")).to_contain_text("96 at")
    assert page.locator("[data-total]").inner_text() != before


def test_figures_that_could_not_be_fetched_do_not_look_current(sheet: Opened) -> None:
    page = sheet()
    # An error of the server; a status of that would be on the console, which fails the story.
    page.evaluate(
        """() => document.addEventListener("htmx:beforeSwap", (event) => {
             if (event.detail.target.id !== "draft-estimate") return; // the check beside the other orders
             event.detail.shouldSwap = false;
             document.dispatchEvent(new CustomEvent("htmx:responseError", { detail: event.detail }));
           }, { capture: true })"""
    )
    page.locator("#id_lines-1-units").fill("84")
    expect(page.get_by_text("not up to date")).to_be_visible()
    assert page.locator("[data-total]").evaluate("one => getComputedStyle(one).opacity") == "0.45"


def test_a_split_fills_in_the_quantities_without_leaving_the_page(sheet: Opened) -> None:
    page = sheet()
    page.get_by_label("Guests", exact=True).fill("120")
    page.get_by_role("button", name="Split by percentage").click()
    expect(page.locator("#id_lines-0-units")).to_have_value("120")
    expect(page.locator("#id_lines-1-units")).to_have_value("108")
    expect(page.locator("#lines-0-sum")).to_contain_text("120 at")
    expect(page.locator("#draft-estimate")).not_to_have_attribute("aria-busy", "true")
    page.get_by_label("Guests", exact=True).fill("")
    page.get_by_role("button", name="Split by percentage").click()
    problem = page.locator(".issues.stop").get_by_role("listitem").filter(has_text="Enter the guests to split")
    problem.get_by_role("link", name="Fix").click()
    assert page.evaluate("document.activeElement.id") == "id_guests"


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_after_saving_the_message_is_in_view_and_has_the_focus(sheet: Opened, size: tuple[int, int]) -> None:
    page = sheet(size)
    page.locator("#id_lines-1-units").fill("84")
    page.get_by_role("button", name="Save", exact=True).click()
    message = page.locator("[data-said]")
    expect(message).to_have_text(re.compile(r"Saved at \d+:\d\d [AP]M\."))
    assert in_view(page, message)
    expect(message).to_be_focused()


def test_unsaved_changes_survive_the_save_of_another_form(quote: Quote, sheet: Opened) -> None:
    page = sheet()
    page.locator("#id_lines-1-units").fill("84")
    page.locator("#id_lines-2-DELETE").check()
    page.get_by_role("button", name="Add a product").click()
    page.locator("#id_lines-6-product").select_option(label="Quince square")
    page.locator("#id_lines-6-units").fill("24")
    page.get_by_role("link", name="Edit inquiry").click()
    page.get_by_label("Guests", exact=True).fill("90")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("[data-said]")).to_have_text(re.compile(r"Saved at \d+:\d\d [AP]M\."))
    expect(page.get_by_text("Your unsaved changes are back as you left them.")).to_be_visible()
    expect(page.locator("#id_lines-1-units")).to_have_value("84")
    expect(page.locator("#id_lines-6-units")).to_have_value("24")
    expect(page.locator("#id_lines-2-DELETE")).to_be_checked()
    expect(page.get_by_label("Guests", exact=True)).to_have_value("90")
    expect(page.locator("#lines-1-sum")).to_contain_text("84 at")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("[data-said]")).to_have_text(re.compile(r"Saved at \d+:\d\d [AP]M\."))
    expect(page.get_by_text("Your unsaved changes are back")).to_have_count(0)
    assert sorted(quote.lines.values_list("units", flat=True)) == [1, 24, 78, 84]
    assert Inquiry.objects.get(pk=quote.inquiry_id).guests == 90


def test_unsaved_changes_can_be_discarded(quote: Quote, sheet: Opened) -> None:
    page = sheet()
    page.locator("#id_lines-1-units").fill("84")
    page.get_by_role("link", name="Edit inquiry").click()
    page.get_by_role("link", name="Back", exact=True).click()
    page.get_by_role("button", name="Discard changes").click()
    expect(page.locator("#id_lines-1-units")).to_have_value("72")
    page.reload()
    expect(page.get_by_text("Your unsaved changes are back")).to_have_count(0)
    assert quote.lines.get(product__code="rice-glass").units == 72


def test_a_page_of_the_quote_opened_from_the_sheet_shows_what_is_entered(quote: Quote, sheet: Opened) -> None:
    page = sheet()
    page.locator("#id_lines-1-units").fill("84")
    page.get_by_role("button", name="Why this price and what if").click()
    expect(page.get_by_role("heading", name="Why this price", level=1)).to_be_visible()
    assert quote.lines.get(product__code="rice-glass").units == 84
    page.get_by_role("link", name="Products", exact=True).click()
    expect(page.locator("#id_lines-1-units")).to_have_value("84")
    page.locator("#id_lines-1-units").fill("some")
    page.get_by_role("button", name="Terms and note").click()
    expect(page.locator("#id_lines-1-units")).to_have_value("some")
    expect(page.locator("[data-errors]")).to_be_visible()


def test_changes_that_no_longer_fit_are_listed_and_not_applied(quote: Quote, sheet: Opened) -> None:
    page = sheet()
    page.locator("#id_lines-1-units").fill("84")
    page.get_by_role("link", name="Edit inquiry").click()
    quote.lines.filter(position=1).update(units=60)
    page.get_by_role("link", name="Back", exact=True).click()
    note = page.get_by_role("status").filter(has_text="Not applied.")
    expect(note).to_contain_text("Quantity (2): 84")
    expect(page.locator("#id_lines-1-units")).to_have_value("60")


def test_a_change_the_customer_asked_for_stands_beside_the_table(
    sheet: Opened, quote: Quote, axe: Broken, live_server: Any
) -> None:
    sent = factories.sent_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=61))
    evidence = ApprovalEvidence()
    quote_ask_change(quote_id=sent.pk, text="Twelve more tartlets, please.", evidence=evidence, at=timezone.now())
    quote_revise(quote_id=sent.pk, by=factories.BY, at=timezone.now())
    page = sheet()
    page.goto(f"{live_server.url}{reverse('inquiry', args=[sent.inquiry_id])}")
    asked = page.get_by_role("region", name="Change requested")
    expect(asked).to_contain_text("Twelve more tartlets, please.")
    assert in_view(page, asked)
    assert in_view(page, page.locator("#id_lines-0-product"))
    assert axe(page) == []


@pytest.mark.parametrize("size", [PHONE, SMALL])
def test_a_message_ends_on_a_phone_once_it_was_compared_with_the_list(
    sheet: Opened, quote: Quote, axe: Broken, live_server: Any, size: tuple[int, int]
) -> None:
    facts = {"allergies": ("gluten", "peanuts"), "need_counts": {"gluten": 2, "peanuts": 1}}
    sent = factories.sent_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=61), **facts)
    evidence = ApprovalEvidence()
    quote_ask_change(quote_id=sent.pk, text="See you then.", evidence=evidence, at=timezone.now())
    message = quote_ask_change(quote_id=sent.pk, text="Dad's face balloons", evidence=evidence, at=timezone.now())
    page = sheet(size)
    page.goto(f"{live_server.url}{reverse('quote', args=[sent.pk])}")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == size[0]
    entry = page.get_by_role("listitem").filter(has_text=message.text)
    entry.get_by_text("Compare with the list").click()
    entry.get_by_role("button", name="Already in the list").click()
    expect(page.get_by_text("Compare the message with the list of allergies and diets")).to_be_visible()
    entry.get_by_text("Compare with the list").click()
    save_picture(page, f"message-compared-{size[0]}")
    entry.get_by_label("I compared it with the list (2 guests: gluten (celiac); 1 guest: peanuts)").check()
    entry.get_by_role("button", name="Already in the list").click()
    expect(page.get_by_text("the allergies and diets in the message are in the list")).to_be_visible()
    expect(entry.get_by_role("button")).to_have_count(0)
    other = page.get_by_role("listitem").filter(has_text="See you then.")
    other.get_by_role("button", name="Nothing about allergies or diets").click()
    expect(page.get_by_text("the message names no allergies or diets")).to_be_visible()
