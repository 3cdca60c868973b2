"""Answers about an ingredient that its name, its recipes or each other belie are asked again."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient
from catalog.pantry.services import ingredient_save
from catalog.recipes.models import Recipe, RecipeLine
from catalog.records.errors import TouchesFood
from tests.integration.catalog.kitchen_pages import text
from tests.integration.catalog.pantry.test_ingredients import signed_in, submitted
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    Kitchen.objects.create(pk=1, name="Tansy Row", email="kitchen@tansyrow.example")
    return signed_in(client, "owner")


@pytest.mark.parametrize(
    ("name", "answer", "refused"),
    [
        (
            "Leaf gelatin, fish",
            {"label-has-gelatin": "free"},
            "The name includes “gelatin”, but the answer is free",
        ),
        ("Dark rum", {"label-has-alcohol": "free"}, "The name includes “rum”, but the answer is free of alcohol"),
        (
            "Sugar",
            {"label-name-fish": "cod"},
            "cod is named, but the answer for fish is not “contains” or “may contain”",
        ),
    ],
)
def test_an_answer_that_its_own_words_belie_is_asked_again(
    owner: Client, name: str, answer: dict[str, str], refused: str
) -> None:
    page = owner.post(reverse("ingredient-new"), submitted(name=name, **answer))
    assert refused in page.content.decode()
    assert not Ingredient.objects.exists()


@pytest.mark.parametrize("name", ["Alcohol-free wine", "Wine vinegar", "Ginger", "Vegan gelatin", "Rum flavoring"])
def test_a_name_that_says_no_such_thing_is_not_asked(owner: Client, name: str) -> None:
    owner.post(
        reverse("ingredient-new"), submitted(name=name, **{"label-has-alcohol": "free", "label-has-gelatin": "free"})
    )
    assert Ingredient.objects.get().name == name


def test_what_a_recipe_uses_cannot_be_said_never_to_touch_the_food(owner: Client) -> None:
    owner.post(reverse("ingredient-new"), submitted(name="Sugar"))
    sugar = Ingredient.objects.get()
    recipe = Recipe.objects.create(code="syrup", name="Plain syrup")
    RecipeLine.objects.create(recipe=recipe, ingredient=sugar, position=0, amount="1 kg")
    address = reverse("ingredient", args=[sugar.pk])
    page = save_edit(owner, address, submitted(name="Sugar", **{"label-off_food": "on"}))
    assert "It is in Plain syrup, so it is food: uncheck this, or remove it from the recipe first." in text(page)
    sugar.refresh_from_db()
    assert sugar.touches_food
    with pytest.raises(TouchesFood):
        ingredient_save(ingredient_id=sugar.pk, data={"name": "Sugar", "touches_food": False}, parts=[])
