"""An ingredient that a line is missing is added from the line; nothing that was half entered is lost."""

import html
import re
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.pantry.common import common_of
from catalog.pantry.common_services import NewIngredient, ingredient_add_priced
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from tests.factories import NOW, PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import product_form_data, recipe_form_data

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def page_text(response: HttpResponse | Any) -> str:
    """The page's text as people read it."""
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())))


def inputs(response: HttpResponse | Any) -> dict[str, str]:
    """Every text and hidden input of a page with its value."""
    found = {}
    for tag in re.findall(r"<input[^>]*>", response.content.decode()):
        attributes = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if attributes.get("type") != "checkbox" and "name" in attributes:
            found[attributes["name"]] = html.unescape(attributes.get("value", ""))
    return found


LINES = [("1 kg", "Granulated sugar"), ("2 T", "Fennel pollen")]


def test_an_unknown_name_can_be_added_from_its_line(owner: Client) -> None:
    page = owner.post(reverse("recipe-new"), recipe_form_data(LINES))
    assert "Add “Fennel pollen” as an ingredient" in page_text(page)

    opened = owner.post(reverse("recipe-new"), recipe_form_data(LINES, do="new-open-1", loss="4"))
    shown = inputs(opened)
    assert opened.status_code == 200
    assert shown["new-name"] == "Fennel pollen"
    assert shown["lines-1-amount"] == "2 T"
    assert shown["loss"] == "4"
    assert "Weight of a US cup" in page_text(opened)

    more = {"new-row": "1", "new-instead": "Fennel pollen", "new-name": "Fennel pollen, ground"}
    more |= {"new-cup_grams": "96", "new-size": "1 oz", "new-price": "18"}
    added = owner.post(reverse("recipe-new"), recipe_form_data(LINES, do="new-add", loss="4", **more))
    shown = inputs(added)
    pollen = Ingredient.objects.get(name="Fennel pollen, ground")
    assert round(pollen.density or 0, 3) == Decimal("0.406")
    assert [(pack.size, pack.price) for pack in pollen.packs.all()] == [("1 oz", Decimal(18))]
    assert (shown["lines-1-what"], shown["lines-0-what"], shown["loss"]) == (pollen.name, "Granulated sugar", "4")
    assert "new-name" not in shown

    lines = [(shown[f"lines-{row}-amount"], shown[f"lines-{row}-what"]) for row in (0, 1)]
    assert owner.post(reverse("recipe-new"), recipe_form_data(lines)).status_code == 302
    assert Recipe.objects.get(name="Nib brittle").lines.count() == 2


def test_a_common_name_brings_its_figures_and_its_part(owner: Client) -> None:
    lines = [("2 each", "Limes: juice")]
    opened = owner.post(reverse("recipe-new"), recipe_form_data(lines, do="new-open-0"))
    assert "Comes with it:" in page_text(opened)
    more = {"new-row": "0", "new-instead": "Limes: juice", "new-name": "Limes"}
    added = owner.post(reverse("recipe-new"), recipe_form_data(lines, do="new-add", **more))
    assert inputs(added)["lines-0-what"] == "Limes: juice"
    assert Ingredient.objects.get(name="Limes").ndb


def test_a_name_near_one_is_asked_about_and_one_tick_adds_it(owner: Client) -> None:
    lines = [("1 kg", "sugar granulate")]
    more = {"new-row": "0", "new-instead": "sugar granulate", "new-name": "Sugar, granulated"}
    asked = owner.post(reverse("recipe-new"), recipe_form_data(lines, do="new-add", **more))
    assert "You may already have this: Granulated sugar." in page_text(asked)
    assert not Ingredient.objects.filter(name="Sugar, granulated").exists()
    assert inputs(asked)["lines-0-amount"] == "1 kg"
    owner.post(reverse("recipe-new"), recipe_form_data(lines, do="new-add", **more, **{"new-another": "on"}))
    assert Ingredient.objects.filter(name="Sugar, granulated").exists()


def test_half_a_price_is_asked_about_and_closing_adds_nothing(owner: Client) -> None:
    before = Ingredient.objects.count()
    more = {"new-row": "1", "new-instead": "Fennel pollen", "new-name": "Fennel pollen", "new-size": "1 oz"}
    half = owner.post(reverse("recipe-new"), recipe_form_data(LINES, do="new-add", **more))
    assert "Enter the price of this pack too" in page_text(half)
    closed = owner.post(reverse("recipe-new"), recipe_form_data(LINES, do="new-close", **more))
    assert "new-name" not in inputs(closed)
    assert inputs(closed)["lines-1-what"] == "Fennel pollen"
    assert Ingredient.objects.count() == before


def test_rows_that_were_rearranged_meanwhile_get_no_other_name(owner: Client) -> None:
    lines = [LINES[1], LINES[0]]
    more = {"new-row": "1", "new-instead": "Fennel pollen", "new-name": "Fennel pollen"}
    added = inputs(owner.post(reverse("recipe-new"), recipe_form_data(lines, do="new-add", **more)))
    assert (added["lines-0-what"], added["lines-1-what"]) == ("Fennel pollen", "Granulated sugar")


@pytest.mark.parametrize("do", ["new-open-x", "new-open-99999", "new-open-", "new-open--1", "new-add", "lines-is-9-a"])
def test_a_button_that_no_page_has_does_nothing(owner: Client, do: str) -> None:
    page = owner.post(reverse("recipe-new"), recipe_form_data(LINES, do=do))
    assert page.status_code == 200
    assert inputs(page)["lines-1-what"] == "Fennel pollen"


def test_a_name_that_is_meant_is_one_click(owner: Client) -> None:
    lines = [("1 kg", "sugar")]
    page = owner.post(reverse("recipe-new"), recipe_form_data(lines))
    assert "Use Granulated sugar" in page_text(page)
    taken = owner.post(reverse("recipe-new"), recipe_form_data(lines, do="lines-is-0-Granulated sugar"))
    assert inputs(taken)["lines-0-what"] == "Granulated sugar"


def test_sticks_are_read_of_butter_and_said_to_be(owner: Client) -> None:
    new = NewIngredient("Heavy cream")
    ingredient_add_priced(new=new, country="US", size="", price=None, starts=NOW.date())
    Kitchen.objects.update(cup="us")
    catalog_changed()
    lines = [("2 sticks", "Butter, unsalted"), ("8 oz", "Heavy cream")]
    shown = page_text(owner.post(reverse("recipe-new"), recipe_form_data(lines, do="work-out")))
    assert "Read as 8 oz: a stick of butter is 4 oz." in shown
    assert "Read as a weight. For fluid ounces, write 8 fl oz." in shown
    refused = owner.post(reverse("recipe-new"), recipe_form_data([("1 stick", "Granulated sugar")]))
    assert "only butter and margarine come in sticks" in page_text(refused)
    assert owner.post(reverse("recipe-new"), recipe_form_data(lines)).status_code == 302
    assert [line.amount for line in Recipe.objects.get(name="Nib brittle").lines.all()] == ["8 oz", "8 oz"]


def test_with_metric_cups_a_stick_is_asked_about(owner: Client) -> None:
    Kitchen.objects.update(cup="metric")
    catalog_changed()
    assert "Write one of these" in page_text(
        owner.post(reverse("recipe-new"), recipe_form_data([("1 stick", "Butter, unsalted")]))
    )


def test_packaging_a_product_is_missing_is_added_from_its_row(owner: Client) -> None:
    recipe = Recipe.objects.order_by("pk").first()
    assert recipe is not None
    fills = [{"amount": "300 g", "recipe": str(recipe.pk)}]
    rows = {"packaging": [{"amount": "1", "ingredient": ""}]}
    opened = owner.post(reverse("product-new"), product_form_data(fills, do="new-open-0", **rows))
    assert "New packaging" in page_text(opened)
    more = {"new-row": "0", "new-instead": "", "new-name": "Ribboned box", "new-size": "50 each", "new-price": "30"}
    added = owner.post(reverse("product-new"), product_form_data(fills, do="new-add", **rows, **more))
    box = Ingredient.objects.get(name="Ribboned box")
    assert (box.base, box.packs.get().size) == ("each", "50 each")
    assert f'<option value="{box.pk}" selected>' in added.content.decode()
    assert inputs(added)["fills-0-amount"] == "300 g"
    assert not Product.objects.filter(name="Walnut round").exists()


def test_the_units_that_a_line_reads_are_named_with_sticks(owner: Client) -> None:
    page = page_text(owner.post(reverse("recipe-new"), recipe_form_data([("2 floops", "Granulated sugar")])))
    assert "“floops” is not a unit this kitchen knows." in page
    assert "Butter is read in sticks too: 2 sticks." in page
    assert "sticks too" not in page_text(owner.post(reverse("recipe-new"), recipe_form_data([("a big", "Butter")])))


def test_a_name_turned_around_or_in_the_other_number_is_the_ingredient_that_is_there(owner: Client) -> None:
    lines = [("1 lb", "Unsalted butter"), ("2 each", "large egg"), ("1 lb", "sugar, granulated")]
    assert owner.post(reverse("recipe-new"), recipe_form_data(lines)).status_code == 302
    found = Recipe.objects.get(name="Nib brittle").lines.values_list("ingredient__name", flat=True)
    assert list(found) == ["Butter, unsalted", "Large eggs", "Granulated sugar"]


def test_the_white_of_the_eggs_that_are_there_is_proposed_before_another_ingredient(owner: Client) -> None:
    eggs = NewIngredient("Eggs, medium", common_of("eggs"))
    ingredient_add_priced(new=eggs, country="US", size="", price=None, starts=NOW.date())
    text = page_text(owner.post(reverse("recipe-new"), recipe_form_data([("200 g", "Egg whites")])))
    assert "Did you mean Eggs, medium: white?" in text
    assert text.index("Use Eggs, medium: white") < text.index("Add “Egg whites” as an ingredient")


def test_what_only_sounds_alike_is_asked_about(owner: Client) -> None:
    Ingredient.objects.create(code="choc-milk", name="Chocolate milk", density=1, position=99)
    catalog_changed()
    response = owner.post(reverse("recipe-new"), recipe_form_data([("200 g", "Milk chocolate")]))
    assert response.status_code == 422
    assert "Did you mean Chocolate milk?" in page_text(response)
