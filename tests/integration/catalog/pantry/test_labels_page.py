"""Labels are answered by ticking, one statement each, and only for what the row showed."""

import re
from datetime import date

import pytest
from django.test import Client

from catalog.kitchen.models import Kitchen
from catalog.pantry.common import common_ingredients
from catalog.pantry.common_services import Ticked, common_add
from catalog.pantry.declarations import declared
from catalog.pantry.models import Ingredient
from tests.factories import user_make

pytestmark = pytest.mark.django_db
PAGE = "/catalog/ingredients/labels/"


@pytest.fixture
def owner(client: Client) -> Client:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    client.force_login(user_make())
    known = common_ingredients()
    keys = ("butter-unsalted", "eggs-large-in-shell", "cake-box")
    common_add(ticked=[Ticked(known[key]) for key in keys], country="US", supplier="", starts=date(2027, 1, 1))
    return client


def mark(client: Client, name: str) -> str:
    row = Ingredient.objects.get(name=name)
    found = re.search(rf'name="free" value="({row.pk}\.[^"]+)"', client.get(PAGE).content.decode())
    assert found
    return found[1]


def test_a_tick_answers_every_open_allergen_and_no_diet(owner: Client) -> None:
    page = owner.post(PAGE, {"free": mark(owner, "Butter, unsalted")}, follow=True).content.decode()
    assert "1 label is answered." in page
    butter = Ingredient.objects.get(name="Butter, unsalted")
    found = declared(butter.allergens, butter.allergen_answers, "us")
    assert found.allergens == ("milk",)
    assert found.unchecked_allergens == ()
    assert {"gelatin", "alcohol"} <= found.unchecked
    assert "Butter, unsalted" not in owner.get(PAGE).content.decode()


def test_egg_is_not_said_to_be_pasteurized_by_it(owner: Client) -> None:
    owner.post(PAGE, {"free": mark(owner, "Eggs, large, in shell")})
    egg = Ingredient.objects.get(name="Eggs, large, in shell")
    assert "raw-egg" in declared(egg.allergens, egg.allergen_answers, "us").contains
    assert "raw-egg" not in egg.allergen_answers


def test_what_changed_since_it_was_shown_is_not_answered(owner: Client) -> None:
    shown = mark(owner, "Butter, unsalted")
    Ingredient.objects.filter(name="Butter, unsalted").update(allergen_answers={"soybeans": "may"})
    page = owner.post(PAGE, {"free": shown}, follow=True).content.decode()
    assert "Not answered, because they changed meanwhile" in page
    assert Ingredient.objects.get(name="Butter, unsalted").allergen_answers == {"soybeans": "may"}


def test_packaging_may_be_off_the_food(owner: Client) -> None:
    value = mark(owner, "Cake box")
    owner.post(PAGE, {"off": value})
    assert not Ingredient.objects.get(name="Cake box").touches_food
    assert "Cake box" not in owner.get(PAGE).content.decode()


@pytest.mark.parametrize("value", ["", "x", "99999999999999999999.x", "1", "-1.x", "٣.x"])
def test_what_names_no_row_does_nothing(owner: Client, value: str) -> None:
    before = list(Ingredient.objects.order_by("pk").values())
    assert owner.post(PAGE, {"free": value}).status_code in (302, 422)
    assert list(Ingredient.objects.order_by("pk").values()) == before


def test_when_all_are_read_the_page_says_so(owner: Client) -> None:
    Ingredient.objects.all().delete()
    assert "Every label is read." in owner.get(PAGE).content.decode()
