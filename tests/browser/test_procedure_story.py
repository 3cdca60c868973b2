"""The owner enters her limit and who checks, and prints the written procedure; it meets the rules at two widths."""

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from catalog.kitchen.models import Kitchen
from tests.browser.conftest import OpenPage, save_picture
from tests.browser.test_cooling_entry_story import SignIn
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import user_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_she_enters_a_limit_with_its_source_and_finds_both_in_the_procedure(
    live_server: Any, open_page: OpenPage, sign_in: SignIn
) -> None:
    cooling_kitchen_make(food_safety="eu", country="FR", degrees="C", measures="metric")
    page = open_page()
    sign_in(page, user_make())
    page.goto(live_server.url + reverse("kitchen-profile"))
    page.get_by_label("Longest time out of the cold").fill("2 h")
    page.get_by_role("button", name="Save the profile").click()
    expect(page.get_by_role("alert")).to_contain_text("Enter where this limit comes from, or empty the time.")
    page.get_by_label("Where that limit comes from").fill("Our food safety plan, March 2026")
    page.get_by_label("Who checks temperatures and times").fill("Whoever packs, with the probe.")
    page.get_by_role("button", name="Save the profile").click()
    expect(page.get_by_text("The profile is saved.")).to_be_visible()
    page.get_by_role("link", name="The written procedure").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Cooling and time out of the cold: written procedure")
    expect(page.get_by_role("row", name="Custard tart, 10 cm")).to_contain_text("at most 2 h")
    expect(page.get_by_text("Your own limit: Our food safety plan, March 2026.")).to_be_visible()
    expect(page.get_by_text("Whoever packs, with the probe.")).to_be_visible()
    page.get_by_role("button", name="Create PDF").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("PDF of the written procedure")


@pytest.mark.parametrize("width", [320, 1280])
def test_the_procedure_is_accessible_and_fits(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, axe: Callable[[Page], list[str]], width: int
) -> None:
    cooling_kitchen_make()
    page = open_page(width=width)
    sign_in(page, user_make())
    for food_safety in ("us", "uk"):
        Kitchen.objects.update(food_safety=food_safety)
        for name in ("procedure", "kitchen-profile", "day"):
            page.goto(live_server.url + reverse(name))
            save_picture(page, f"{name}-{food_safety}-{width}")
            assert axe(page) == []
            assert not page.evaluate("document.documentElement.scrollWidth > window.innerWidth")
