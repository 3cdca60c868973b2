"""A new owner goes from an empty database to a sent quote, led by the day page, in few forms."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, Request, expect

from catalog.pantry.models import Ingredient
from config.accounts.first_owner import set_up_link
from orders.quotes.models import Quote
from tests.browser.conftest import OpenPage, save_picture
from tests.browser.test_owner_story import saturday

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
PASSWORD = "seven plums on a tray"
#: Ingredient, as the list names it -> pack and price.
BOUGHT = {
    "Butter, unsalted": ("36 lb", "138"),
    "Eggs, large, in shell": ("15 dozen", "49.50"),
    "Flour, all-purpose": ("50 lb", "24.60"),
    "Sugar, granulated": ("50 lb", "38.90"),
    "Cake box": ("50 each", "38"),
}


def _next(page: Page, name: str) -> None:
    """Take the day page's next step."""
    page.goto(f"{urlsplit(page.url).scheme}://{urlsplit(page.url).netloc}/")
    page.locator(".first-steps a.main").filter(has_text=name).click()


def test_from_an_empty_database_to_a_sent_quote(live_server: Any, open_page: OpenPage, axe: Broken) -> None:
    page = open_page(reduced_motion="reduce")
    sent: list[str] = []

    def count(request: Request) -> None:
        if request.method == "POST" and request.is_navigation_request():
            sent.append(urlsplit(request.url).path)

    page.on("request", count)
    page.goto(live_server.url + urlsplit(set_up_link()).path)
    page.get_by_label("Your name").fill("Odile Marsh")
    page.get_by_label("User name").fill("odile")
    page.get_by_label("New password", exact=True).fill(PASSWORD)
    page.get_by_label("Confirm new password").fill(PASSWORD)
    assert axe(page) == []
    page.get_by_role("button", name="Create owner account").click()

    page.get_by_label("Name of the kitchen").fill("Fennel Street Desserts")
    page.get_by_label("E-mail").fill("kitchen@fennel.example")
    assert axe(page) == []
    page.get_by_role("button", name="Set up the kitchen").click()

    page.get_by_label("Tax on your desserts").fill("8")
    page.get_by_label("What an hour of work is paid").fill("22")
    page.get_by_label("Margin you aim for").fill("50")
    page.get_by_label("What the vehicle costs").fill("0.65")
    assert axe(page) == []
    page.get_by_role("button", name="Save these figures").click()
    assert axe(page) == []
    save_picture(page, "first-steps")

    _next(page, "Ingredients")
    for fold in page.locator("details").all():
        fold.evaluate("fold => fold.open = true")
    for name, (size, price) in BOUGHT.items():
        page.get_by_label(f"{name}: Pack", exact=True).fill(size)
        page.get_by_label(f"{name}: Price", exact=True).fill(price)
    assert axe(page) == []
    page.get_by_role("button", name="Add the checked ingredients").click()
    for tick in page.get_by_label("Label read: no other allergen").all():
        tick.check()
    assert axe(page) == []
    page.get_by_role("button", name="Save what is checked").click()
    expect(page.get_by_text("Every label is read.")).to_be_visible()

    _next(page, "A first recipe")
    page.get_by_label("Name", exact=True).fill("Butter sponge")
    for line, (amount, name) in enumerate(
        (("1 lb", "Butter, unsalted"), ("1 lb", "Sugar, granulated"), ("8 each", "Eggs, large, in shell"),
         ("1 lb", "Flour, all-purpose")), start=1,
    ):  # fmt: skip
        page.get_by_label(f"Amount, line {line}").fill(amount)
        page.get_by_label(f"Ingredient or recipe, line {line}").fill(name)
    page.get_by_role("button", name="Save recipe").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Butter sponge")

    _next(page, "A first product")
    page.get_by_label("Name", exact=True).fill("Sponge square")
    page.get_by_label("Category").fill("Squares")
    page.get_by_label("Amount per unit").first.fill("60 g")
    page.get_by_label("Recipe", exact=True).first.select_option(label="Butter sponge")
    page.get_by_role("button", name="Save product").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sponge square")

    _next(page, "A first quote")
    page.get_by_label("Name", exact=True).fill("Ida Fenwick")
    page.get_by_label("E-mail").fill("ida@fenwick.example")
    page.get_by_label("Event name").fill("Wedding of Ida and Jonas")
    page.get_by_label("Date", exact=True).fill(saturday())
    page.get_by_label("Pickup or delivery from", exact=True).fill("3:30 pm")
    page.get_by_label("Pickup or delivery to", exact=True).fill("4 pm")
    page.get_by_label("Guests", exact=True).fill("80")
    page.get_by_label("The customer was asked").check()
    page.get_by_role("button", name="Save and add products").click()
    page.locator("#id_lines-0-product").select_option(label="Sponge square")
    page.locator("#id_lines-0-units").fill("80")
    page.get_by_role("button", name="Review and send").click()
    page.get_by_label("I have seen that nothing says how").check()
    for cold in page.get_by_label("Yes, this is cold").all():
        cold.check()
    page.get_by_role("button", name="Send quote").click()
    expect(page.get_by_text("sent", exact=True).first).to_be_attached()

    assert Quote.objects.get().status == "sent"
    assert Ingredient.objects.count() == len(BOUGHT)
    assert len(sent) <= 12, sent
    page.goto(f"{live_server.url}/")
    expect(page.get_by_role("heading", name="To your first quote")).to_have_count(0)
