"""Every component on one page, in a browser: the accessibility rules, narrow screens, the small scripts."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth.models import Group, User
from django.test import Client
from playwright.sync_api import Page, expect

from tests.browser.conftest import OpenPage, save_picture

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.urls("tests.browser.specimen.urls"),
]
PAGES = [
    "specimen/components",
    "specimen/components?wrong=1",
    "specimen/components?saved=1",
    "specimen/quote-page",
    "specimen/sheet",
    "sign-in",
    "cautions",
]
WIDTHS = [1280, 320]
Broken = Callable[[Page], list[str]]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("address", PAGES)
def test_a_page_meets_the_accessibility_rules(
    live_server: Any, open_page: OpenPage, axe: Broken, address: str, width: int
) -> None:
    page = open_page(f"{live_server.url}/{address}", width=width, reduced_motion="reduce")
    save_picture(page, f"{address.replace('/', '-').replace('?', '-').replace('=', '-')}-{width}")
    assert axe(page) == []


@pytest.mark.parametrize("address", PAGES)
def test_a_page_fits_a_narrow_screen(live_server: Any, open_page: OpenPage, address: str) -> None:
    page = open_page(f"{live_server.url}/{address}", width=320)
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0


@pytest.mark.parametrize("address", ["specimen/components", "sign-in", "specimen/quote-page"])
def test_controls_are_tall_enough_for_a_thumb(live_server: Any, open_page: OpenPage, address: str) -> None:
    page = open_page(f"{live_server.url}/{address}", width=320)
    small = page.evaluate(
        """[...document.querySelectorAll("button, select, input:not([type=hidden], [type=checkbox], [type=radio])")]
           .filter((one) => one.offsetParent && one.getBoundingClientRect().height < 44).map((one) => one.outerHTML)"""
    )
    assert small == []


def test_the_error_summary_gets_the_focus_and_leads_to_the_field(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components?wrong=1")
    assert page.title().startswith("Error: Enquiry")
    assert page.evaluate("document.activeElement.hasAttribute('data-errors')")
    page.locator("[data-errors] a").first.click()
    assert page.evaluate("document.activeElement.id") == "id_title"


def test_a_note_after_saving_gets_the_focus(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components?saved=1")
    assert "Saved: the order card" in page.evaluate("document.activeElement.textContent")


def test_a_row_is_added_by_keyboard_and_announced(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components")
    page.get_by_role("button", name="Add a line").focus()
    page.keyboard.press("Enter")
    assert page.locator("[data-rows] tr").count() == 2
    assert page.evaluate("document.activeElement.id") == "id_form-1-product"
    assert page.locator("#id_form-TOTAL_FORMS").input_value() == "2"
    assert page.locator("[data-row-news]").text_content() == "Row 2 added."
    page.locator("#id_form-1-DELETE").check()
    assert page.locator("[data-row-news]").text_content() == "Row 2 goes when you save."


def test_a_second_click_sends_nothing_and_the_button_keeps_its_value(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.post_data or "") if request.method == "POST" else None)
    page.route("**/components", lambda route: route.fulfill(status=204))
    with page.expect_request(lambda request: request.method == "POST"):
        page.evaluate(
            "const button = document.querySelector('button[value=keep]'); for (const _ of [1, 2, 3]) button.click();"
        )
    page.wait_for_timeout(300)
    assert len(sent) == 1
    assert 'name="act"' in sent[0]
    assert "keep" in sent[0]


def test_leaving_with_unsaved_changes_asks_first(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components")
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept())[1])
    page.locator("#id_title").fill("Naming day")
    page.goto(f"{live_server.url}/cautions")
    assert asked == ["beforeunload"]


def test_pages_work_without_scripts(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components", java_script_enabled=False)
    assert page.get_by_role("button", name="Add a line").count() == 0
    assert page.get_by_role("button", name="Send quote").is_visible()


def test_the_tab_key_reaches_the_page_past_the_navigation(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_a_part_that_cannot_be_fetched_says_so(live_server: Any, browser: Any) -> None:
    """Opened without the console's watch: the browser itself complains of the failed request."""
    page = browser.new_page()
    page.goto(f"{live_server.url}/specimen/components")
    page.evaluate("htmx.ajax('GET', '/specimen/refuses', {target: '#htmx-target', swap: 'innerHTML'})")
    page.wait_for_selector("#htmx-target .note.stop")
    assert "Quote Q-00012 was changed in the meantime" in page.locator("#htmx-target").inner_text()
    page.route("**/specimen/quote-page", lambda route: route.abort())
    page.evaluate(
        "htmx.ajax('GET', '/specimen/quote-page', {target: '#htmx-target', swap: 'innerHTML'}).catch(() => null)"
    )
    page.wait_for_selector("#not-fetched")
    assert "could not be brought up to date" in page.locator("#not-fetched").inner_text()
    page.unroute("**/specimen/quote-page")
    page.route("**/specimen/quote-page", lambda route: route.fulfill(status=503))
    page.evaluate(
        "htmx.ajax('GET', '/specimen/quote-page', {target: '#htmx-target', swap: 'innerHTML'}).catch(() => null)"
    )
    page.get_by_text("busy or out of reach for a moment. What you entered is still here").wait_for()
    page.close()


def test_pictures_keep_the_height_written_on_them(live_server: Any, open_page: OpenPage) -> None:
    page = open_page(f"{live_server.url}/specimen/components", width=320)
    page.evaluate(
        """const rule = new CSSStyleSheet(); rule.replaceSync(".picture svg { height: auto }");
           document.adoptedStyleSheets = [rule];"""
    )
    heights = page.evaluate(
        """[...document.querySelectorAll(".picture > svg")]
           .map((one) => [Number(one.getAttribute("height")), one.getBoundingClientRect().height])"""
    )
    assert len(heights) == 4
    assert all(written == shown for written, shown in heights)


@pytest.fixture
def owner_cookie(client: Client) -> dict[str, str]:
    """Sign the owner in and give the session's cookie."""
    user = User.objects.create_user("ida", first_name="Ida", last_name="Merrow")
    user.groups.add(Group.objects.get_or_create(name="owner")[0])
    client.force_login(user)
    return {"name": settings.SESSION_COOKIE_NAME, "value": client.cookies[settings.SESSION_COOKIE_NAME].value}


@pytest.mark.parametrize("width", [*WIDTHS, 390])
@pytest.mark.parametrize("address", ["money/due", "catalog/recipes"])
def test_the_navigation_shows_where_one_is(
    live_server: Any, open_page: OpenPage, axe: Broken, owner_cookie: dict[str, str], address: str, width: int
) -> None:
    page = open_page(width=width, reduced_motion="reduce")
    page.context.add_cookies([{**owner_cookie, "url": live_server.url}])
    page.goto(f"{live_server.url}/{address}")
    save_picture(page, f"signed-in-{address.replace('/', '-')}-{width}")
    assert axe(page) == []
    main = page.get_by_role("navigation", name="Main")
    assert main.locator("[aria-current]").count() == 1
    assert page.locator(".sub-nav [aria-current=page]").count() == 1
    # A row for each level, with the present place in view.
    for row in page.locator(".main-nav ul, .sub-nav ul").all():
        assert row.evaluate("one => one.clientHeight") < 60
        expect(row.locator("[aria-current]")).to_be_in_viewport(ratio=1)
    assert "Ida Merrow" in page.locator(".top").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    page.get_by_role("button", name="Sign out").click()
    expect(page).to_have_title(re.compile("^Sign in"))
    page.wait_for_load_state()
    assert "You are signed out." in page.evaluate("document.activeElement.textContent")
