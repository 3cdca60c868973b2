"""The owner says how a product cools: what she types, where she is put right, and every page she does it on."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page, expect

from catalog.pantry.models import Ingredient
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Step
from tests.browser.conftest import OpenPage, save_picture
from tests.factories import kitchen_make, user_make
from tests.integration.catalog.products.test_products import mold_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SignIn = Callable[[Page, User], None]


@pytest.fixture
def owner() -> User:
    """The small kitchen, whose custard tart bakes and then waits in the cold."""
    kitchen_make()
    tart = Product.objects.get(code="custard-tart")
    tart.steps.all().delete()
    oven = Station.objects.get(code="oven")
    ProductStep.objects.create(product=tart, position=0, name="Bake", kind=Step.Kind.BAKE, station=oven, minutes=40)
    ProductStep.objects.create(product=tart, position=1, name="Chill", kind=Step.Kind.CHILL, minutes=480)
    return user_make()


def test_she_says_how_warm_it_leaves_by_keyboard_and_finds_it_again(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    page = open_page()
    sign_in(page, owner)
    tart = Product.objects.get(code="custard-tart")
    page.goto(live_server.url + reverse("product-edit", args=[tart.pk]))
    bake = page.get_by_role("group", name="Step 1")
    bake.get_by_label("Oven or heat, °F").focus()
    page.keyboard.press("Tab")
    page.keyboard.type("80 °C")
    fold = page.get_by_text("What it stands on, its cover, its box, the rule")
    fold.focus()
    page.keyboard.press("Enter")
    page.get_by_label("Stands on while it cools").focus()
    page.keyboard.type("wood")
    page.get_by_label("Covered while it cools").focus()
    page.keyboard.press("Space")
    page.get_by_role("button", name="Save product").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text(f"{tart.name} is saved.")).to_be_visible()
    page.goto(live_server.url + reverse("product-edit", args=[tart.pk]))
    expect(bake.get_by_label("Leaves at °F")).to_have_value("176")
    expect(fold).to_contain_text("filled in")
    fold.click()
    expect(page.get_by_label("Stands on while it cools")).to_have_value("board")
    expect(page.get_by_label("Covered while it cools")).to_be_checked()


def test_she_chooses_what_an_ingredient_consists_of(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    page = open_page()
    sign_in(page, owner)
    page.goto(live_server.url + reverse("ingredient-new"))
    page.get_by_label("Name", exact=True).fill("Whole milk")
    page.get_by_role("button", name="Search by the name entered").click()
    page.get_by_role("button", name=re.compile("Use composition.*Milk, whole")).click()
    expect(page.get_by_text("Filled in, not saved yet.")).to_be_visible()
    expect(page.get_by_text("USDA: 88.1")).to_be_visible()
    page.get_by_label("Fat", exact=True).fill("3.4")
    page.get_by_role("button", name="Save ingredient").click()
    expect(page.get_by_role("link", name="Enter the water, 0 for none")).to_be_visible()
    page.get_by_label("Fat", exact=True).fill("")
    page.get_by_label("Add it anyway").check()
    page.get_by_role("button", name="Save ingredient").click()
    expect(page.get_by_text("Whole milk is saved.")).to_be_visible()
    page.get_by_role("heading", name="Composition, % by weight").click()
    expect(page.get_by_text("Its figures are used unless you enter your own, all six.")).to_be_visible()


@pytest.mark.parametrize("width", [320, 1280])
def test_every_page_that_cooling_asks_on_is_accessible_and_fits(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User, axe: Callable[[Page], list[str]], width: int
) -> None:
    mold, oven, tart = mold_make(), Station.objects.get(code="oven"), Product.objects.get(code="custard-tart")
    milk = Ingredient.objects.get(code="milk")
    Ingredient.objects.filter(pk=milk.pk).update(ndb="01077")
    milk.parts.create(code="cream", share="0.1", ndb="01053")
    addresses = [reverse("kitchen-profile"), reverse("kitchen-stations"), reverse("molds")]
    addresses += [reverse(name, args=[row.pk]) for name, row in (("ingredient", milk), ("mold-edit", mold))]
    addresses += [reverse("kitchen-stations-edit", args=[oven.pk]), reverse("product-edit", args=[tart.pk])]
    page = open_page(width=width)
    sign_in(page, owner)
    broken = {}
    for address in addresses:
        page.goto(live_server.url + address)
        save_picture(page, f"cooling{address.replace('/', '-')}{width}")
        broken[address] = axe(page)
        if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
            broken[address].append("it slides sideways")
    assert {address: found for address, found in broken.items() if found} == {}
