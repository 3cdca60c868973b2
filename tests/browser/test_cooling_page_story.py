"""The owner reads how a cake cools; every state of the page meets the rules at two widths and prints."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.web.access import KITCHEN
from tests.browser.conftest import OpenPage, save_picture
from tests.browser.test_cooling_entry_story import SignIn
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import user_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def cake() -> Product:
    """A custard cake, 25 cm across and 8 cm high, that does not get cold in time."""
    return cooling_kitchen_make(diameter_cm="25", height_cm="8")


def test_she_finds_how_it_cools_from_the_product_and_what_would_help(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, cake: Product
) -> None:
    page = open_page()
    sign_in(page, user_make())
    page.goto(live_server.url + reverse("product", args=[cake.pk]))
    page.get_by_role("link", name="How it cools, and what helps").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"How {cake.name} cools")
    expect(page.get_by_text("for cooling: your steps state")).to_be_visible()
    expect(page.get_by_text("Does not meet the rule.")).to_be_visible()
    expect(page.get_by_role("img", name=f"How {cake.name} cools after “Bake”")).to_be_visible()
    expect(page.get_by_role("row").filter(has_text="likely met").first).to_be_visible()
    expect(page.get_by_role("row", name="as entered for this product")).to_contain_text("4 h")
    page.get_by_role("link", name="cold-room").click()
    expect(page).to_have_url(live_server.url + reverse("kitchen-stations-edit", args=[cold_room().pk]))


def cold_room() -> Station:
    """Return where it chills."""
    return Station.objects.get(code="cold-room")


def test_the_kitchen_reads_it_in_its_degrees(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, cake: Product
) -> None:
    Kitchen.objects.update(degrees="C", measures="metric", food_safety="anz")
    catalog_changed()
    page = open_page(width=320)
    sign_in(page, user_make(KITCHEN, "helper"))
    page.goto(live_server.url + reverse("product-cooling", args=[cake.pk]))
    expect(page.get_by_text("the core is at 5 °C after about")).to_be_visible()
    expect(page.locator("main")).not_to_contain_text("°F")
    # The way back, and none to where things are changed.
    expect(page.locator("main a:not([href='#mind'])")).to_have_count(1)


def changed(state: str, cake: Product) -> None:
    """Put the cake in a state its page has to show."""
    if state == "freezes":
        Station.objects.filter(code="cold-room").update(air_c=Decimal(-18))
    elif state == "kept":
        Station.objects.filter(code="cold-room").update(air="blast", air_c=Decimal(1))
        Product.objects.filter(pk=cake.pk).update(fill_height_cm=Decimal(2))
    elif state == "no times":
        Kitchen.objects.update(food_safety="eu", degrees="C", measures="metric")
    elif state == "missing":
        Mold.objects.update(diameter_cm=None)
    elif state == "not asked":
        ProductStep.objects.update(leaves_c=None)
    catalog_changed()


@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("state", ["not kept", "freezes", "kept", "no times", "missing", "not asked"])
def test_every_state_of_the_page_is_accessible_and_fits(
    live_server: Any,
    open_page: OpenPage,
    sign_in: SignIn,
    axe: Callable[[Page], list[str]],
    cake: Product,
    state: str,
    width: int,
) -> None:
    changed(state, cake)
    page = open_page(width=width)
    sign_in(page, user_make())
    page.goto(live_server.url + reverse("product-cooling", args=[cake.pk]))
    save_picture(page, f"cooling-page-{state.replace(' ', '-')}-{width}")
    assert axe(page) == []
    assert not page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def test_on_paper_it_is_the_figures_without_the_controls(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, cake: Product
) -> None:
    page = open_page(width=700)
    sign_in(page, user_make())
    page.goto(live_server.url + reverse("product-cooling", args=[cake.pk]))
    expect(page.get_by_role("button", name="Print this page")).to_be_visible()
    page.emulate_media(media="print")
    save_picture(page, "cooling-page-on-paper")
    expect(page.get_by_role("button", name="Print this page")).to_be_hidden()
    expect(page.get_by_role("img", name="How")).to_be_visible()
    expect(page.get_by_text("This is an estimate by heat conduction.")).to_be_visible()
