"""The owner writes a recipe in Chromium and sees its cost as she types; the pages meet the rules at two widths."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page, expect

from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.vessels.models import Vessel
from tests.browser.conftest import OpenPage, save_picture
from tests.factories import kitchen_make, user_make
from tests.integration.catalog.products.test_products import mold_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SignIn = Callable[[Page, User], None]


@pytest.fixture
def owner() -> User:
    """The small kitchen with one ingredient whose density nobody has given."""
    kitchen_make()
    Ingredient.objects.filter(code="walnut").update(density=None)
    return user_make()


def test_she_sees_the_cost_as_she_types_and_the_error_on_its_line(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    page = open_page()
    sign_in(page, owner)
    page.goto(live_server.url + reverse("recipe-new"))
    page.get_by_label("Name").fill("Walnut brittle")
    page.get_by_label("Amount, line 1").fill("1 1/2 cups")
    page.get_by_label("Ingredient or recipe, line 1").fill("walnut pieces")
    page.get_by_label("Amount, line 2").fill("500 g")
    page.get_by_label("Ingredient or recipe, line 2").fill("granulated sugar")
    expect(page.locator("#lines-0-figures")).to_have_text(
        "No density for Walnut pieces: a cup cannot be weighed. "
        "Enter the density on the ingredient’s page, or use a weight here."
    )
    expect(page.locator("#lines-1-figures")).to_contain_text("1.1 lb")
    expect(page.locator("#running")).to_contain_text("The cost is not complete.")

    page.get_by_label("Amount, line 1").fill("180 g")
    expect(page.locator("#lines-0-figures")).to_contain_text("6.35 oz")
    # By hand: 180 g of 5 lb at $38.00 is $3.016, 500 g of 25 lb at $21.75 is $0.959; with 3 % waste $4.094 for 680 g:
    # $6.02 a kilogram, $2.73 a pound.
    expect(page.locator("#running .total")).to_have_text("$2.73")
    page.get_by_label("Loss, %").fill("20")
    expect(page.locator("#running .total")).to_have_text("$3.41")
    assert not Recipe.objects.filter(name="Walnut brittle").exists()

    page.get_by_role("button", name="Save recipe").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walnut brittle")
    expect(page.get_by_text("Walnut brittle is saved.")).to_be_visible()
    assert [line.amount for line in Recipe.objects.get(name="Walnut brittle").lines.all()] == ["180 g", "500 g"]


def test_lines_are_added_and_moved_by_keyboard_and_keep_the_focus(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    page = open_page()
    sign_in(page, owner)
    page.goto(live_server.url + reverse("recipe-edit", args=[Recipe.objects.get(code="custard").pk]))
    page.get_by_role("button", name="Up line 3").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_label("Ingredient or recipe, line 2")).to_have_value("Granulated sugar")
    expect(page.get_by_role("button", name="Up line 2")).to_be_focused()
    page.get_by_role("button", name="Add line").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_label("Amount, line 5")).to_be_focused()
    expect(page.locator("#row-news")).to_have_text("Line 5 added.")


def test_a_click_on_add_wins_over_running_figures_on_a_slow_line(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    page = open_page()
    sign_in(page, owner)
    page.goto(live_server.url + reverse("recipe-new"))
    slow = {"offline": False, "latency": 600, "downloadThroughput": -1, "uploadThroughput": -1}
    page.context.new_cdp_session(page).send("Network.emulateNetworkConditions", slow)
    rows = page.get_by_label(re.compile(r"^Amount, line \d+$"))
    there = rows.count()
    for number in range(1, 4):
        # The click takes the cursor out of the field: figures are asked for, and then the row.
        page.get_by_label(f"Amount, line {number}").press_sequentially("500 g")
        page.get_by_role("button", name="Add line").click()
        page.get_by_label(f"Ingredient or recipe, line {number}").press_sequentially("sugar")
        expect(rows).to_have_count(there + number)
        expect(page.get_by_label(f"Amount, line {number}")).to_have_value("500 g")
        expect(page.get_by_label(f"Ingredient or recipe, line {number}")).to_have_value("sugar")


def test_it_all_works_without_script(live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User) -> None:
    page = open_page(java_script_enabled=False)
    sign_in(page, owner)
    page.goto(live_server.url + reverse("recipe-new"))
    page.get_by_label("Name").fill("Plain syrup")
    page.get_by_label("Amount, line 1").fill("2 cups")
    page.get_by_label("Ingredient or recipe, line 1").fill("Granulated sugar")
    page.get_by_role("button", name="Recalculate").click()
    expect(page.locator("#lines-0-figures")).to_contain_text("14.1 oz")
    page.get_by_role("button", name="Add line").click()
    page.get_by_label("Amount, line 5").fill("300 g")
    page.get_by_label("Ingredient or recipe, line 5").fill("Whole milk")
    page.get_by_role("button", name="Save recipe").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Plain syrup")
    assert Recipe.objects.get(name="Plain syrup").lines.count() == 2


@pytest.mark.parametrize("width", [320, 1280])
def test_every_page_of_recipes_and_products_is_accessible_and_fits(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User, axe: Callable[[Page], list[str]], width: int
) -> None:
    Ingredient.objects.filter(code="walnut").update(density="0.42")
    mold = mold_make()
    recipe, product = Recipe.objects.get(code="paste"), Product.objects.get(code="custard-tart")
    addresses = [reverse(name) for name in ("catalog", "recipes", "recipe-new", "products", "product-new", "molds")]
    addresses += [reverse(f"recipe{act}", args=[recipe.pk]) for act in ("", "-edit", "-copy", "-delete", "-pan")]
    addresses += [reverse(f"product{act}", args=[product.pk]) for act in ("", "-edit", "-copy", "-delete")]
    addresses += [reverse("recipe-scale", args=[recipe.pk]) + "?amount=5+kg", reverse("mold-edit", args=[mold.pk])]
    page = open_page(width=width)
    sign_in(page, owner)
    broken = {}
    for address in addresses:
        page.goto(live_server.url + address)
        save_picture(page, f"making{address.split('?')[0].replace('/', '-')}{width}")
        broken[address] = axe(page)
        if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
            broken[address].append("it slides sideways")
    assert {address: found for address, found in broken.items() if found} == {}


def test_a_vessel_that_is_chosen_stays_in_sight_when_the_temperature_is_cleared(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    Vessel.objects.create(name="Pan", kind="hotel pan", length_cm=50, width_cm=30, height_cm=6)
    page = open_page()
    sign_in(page, owner)
    page.goto(live_server.url + reverse("recipe-new"))
    if not page.locator("#id_steps-0-leaves_c").count():
        page.locator("#steps-add").click()
    leaves, vessel = page.locator("#id_steps-0-leaves_c"), page.locator("#id_steps-0-vessel")
    leaves.fill("180")
    vessel.select_option(label="Pan")
    leaves.fill("")
    expect(vessel).to_be_visible()
    vessel.select_option(label="not stated")
    expect(vessel).to_be_hidden()


def test_the_editor_of_eight_lines_is_four_screens_of_a_phone(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    """Seen: 6,700 to 8,800 pixels at the width of a phone."""
    Ingredient.objects.filter(code="walnut").update(density="0.42")
    recipe = Recipe.objects.get(code="custard")
    line = recipe.lines.first()
    assert line is not None
    for _ in range(8 - recipe.lines.count()):
        line.pk, line.position = None, line.position + 100
        line.save()
    page = open_page(width=390)
    sign_in(page, owner)
    page.goto(live_server.url + reverse("recipe-edit", args=[recipe.pk]))
    expect(page.locator(".lines > li")).to_have_count(9)
    assert page.evaluate("document.documentElement.scrollHeight") <= 3500
    air = page.get_by_label("Air whipped in, % of volume")
    expect(air).to_be_hidden()
    page.get_by_text("Kind of loss, air whipped in").click()
    expect(air).to_be_visible()


def test_a_step_more_leaves_what_goes_in_at_each_step_as_it_was(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User
) -> None:
    product = Product.objects.get(code="walnut-cake")
    known = set(product.fills.values_list("recipe__code", flat=True))
    for recipe in Recipe.objects.exclude(code__in=known)[:2]:
        product.fills.create(recipe=recipe, amount="100 g", position=9 + recipe.pk)
    codes = list(product.fills.order_by("position").values_list("recipe__code", flat=True))
    first, second = list(product.steps.order_by("position"))[:2]
    type(first).objects.filter(pk=first.pk).update(takes=codes[1:])
    type(second).objects.filter(pk=second.pk).update(takes=codes[:1])
    page = open_page()
    sign_in(page, owner)
    page.goto(live_server.url + reverse("product-edit", args=[product.pk]))
    ticks = "[...document.querySelectorAll('input[type=checkbox][name$=-takes]')]"
    boxes = f"() => {ticks}.map(one => [one.name, one.value, one.checked])"
    before = page.evaluate(boxes)
    assert {code for name, code, checked in before if name == "steps-0-takes" and checked} == set(codes[1:])
    rows = page.locator("[name$='-name'][name^='steps-']").count()
    page.get_by_role("button", name="Add step").click()
    expect(page.locator("[name$='-name'][name^='steps-']")).to_have_count(rows + 1)
    assert page.evaluate(boxes)[: len(before)] == before
