"""Common ingredients are ticked and priced on one page and added at once, with what is known and nothing more."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from catalog.kitchen.models import Kitchen
from catalog.pantry.declarations import declared
from catalog.pantry.models import Ingredient, Pack
from tests.factories import user_make

pytestmark = pytest.mark.django_db
PAGE = "/catalog/ingredients/common/"


@pytest.fixture
def owner(client: Client) -> Client:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    client.force_login(user_make())
    return client


def added(client: Client, **data: Any) -> str:
    answer = client.post(PAGE, data, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def test_ten_ingredients_with_their_prices_take_one_post(owner: Client) -> None:
    ticked = [
        "butter-unsalted", "whole-milk", "heavy-cream", "eggs-large-in-shell", "flour-all-purpose", "sugar-granulated",
        "lemons", "almond-flour", "vanilla-extract", "cake-box",
    ]  # fmt: skip
    data = {"supplier": "Lower Farm Dairy", "butter-unsalted-size": "36 lb", "butter-unsalted-price": "138"}
    data |= {f"{key}-take": "on" for key in ticked}
    data |= {"cake-box-size": "50 each", "cake-box-price": "38.00"}
    page = owner.post(PAGE, data, follow=True).content.decode()
    assert "10 ingredients are added, 2 with a price." in page
    assert Ingredient.objects.count() == 10
    butter = Ingredient.objects.get(name="Butter, unsalted")
    assert (butter.density, butter.ndb, butter.allergens) == (Decimal("0.9595"), "01145", ["milk"])
    pack = Pack.objects.get(ingredient=butter)
    assert (pack.size, pack.price, str(pack.supplier)) == ("36 lb", 138, "Lower Farm Dairy")
    assert pack.starts <= date.today()  # noqa: DTZ011 - a day
    assert Ingredient.objects.get(name="Cake box").base == "each"
    egg = Ingredient.objects.get(name="Eggs, large, in shell")
    assert {part.code: part.joint for part in egg.parts.all()} == {"yolk": "piece", "white": "piece"}


def test_what_the_name_does_not_say_stays_not_checked(owner: Client) -> None:
    added(owner, **{"butter-unsalted-take": "on"})
    row = Ingredient.objects.get()
    butter = declared(row.allergens, row.allergen_answers, "us")
    assert butter.allergens == ("milk",)
    assert "peanuts" in butter.unchecked_allergens
    assert "not checked yet" in owner.get("/catalog/ingredients/").content.decode()


def test_a_pack_alone_ticks_it_and_half_a_price_is_asked_about(owner: Client) -> None:
    page = owner.post(PAGE, {"whole-milk-size": "1 gallon", "honey-take": "on", "honey-price": "9"})
    text = page.content.decode()
    assert page.status_code == 422
    assert "enter the price of this pack too" in text
    assert "enter the pack this price buys" in text
    assert 'value="1 gallon"' in text
    assert 'name="honey-take"' in text
    assert not Ingredient.objects.exists()
    owner.post(PAGE, {"whole-milk-size": "1 gallon", "whole-milk-price": "4.60"})
    assert Ingredient.objects.get().name == "Whole milk"


@pytest.mark.parametrize(
    ("size", "price", "sentence"), [("a lot", "5", "a lot"), ("1 lb", "five", "price"), ("50 each", "-1", "price")]
)
def test_a_pack_that_cannot_be_read_is_named(owner: Client, size: str, price: str, sentence: str) -> None:
    page = owner.post(PAGE, {"whole-milk-size": size, "whole-milk-price": price})
    assert page.status_code == 422
    assert sentence in page.content.decode()
    assert not Ingredient.objects.exists()


def test_what_is_there_already_is_not_added_twice(owner: Client) -> None:
    added(owner, **{"honey-take": "on"})
    page = owner.get(PAGE).content.decode()
    assert "in your list" in page
    assert 'name="honey-take"' not in page
    owner.post(PAGE, {"honey-take": "on", "molasses-take": "on"})
    assert sorted(Ingredient.objects.values_list("name", flat=True)) == ["Honey", "Molasses"]


def test_nothing_ticked_is_said(owner: Client) -> None:
    assert "Nothing is checked yet." in owner.post(PAGE, {"supplier": "x"}).content.decode()


def test_a_british_kitchen_reads_its_own_names(owner: Client) -> None:
    Kitchen.objects.update(country="GB", currency="GBP", locale="en_GB", measures="metric")
    page = owner.get(PAGE).content.decode()
    for name in ("Plain flour", "Cornflour", "Icing sugar", "Double cream"):
        assert name in page
    added(owner, **{"cornstarch-take": "on"})
    assert Ingredient.objects.get().name == "Cornflour"


def test_a_pack_that_cannot_be_read_names_what_it_is_of(owner: Client) -> None:
    page = owner.post(PAGE, {"dark-chocolate-size": "a big", "heavy-cream-size": "12 floop", "heavy-cream-price": "3"})
    text = page.content.decode()
    assert "Heavy cream: “floop” is not a unit" in text
    assert "lb or #," in text


def test_a_bare_number_of_a_food_that_is_counted_is_so_many_pieces(owner: Client) -> None:
    added(owner, **{"eggs-large-in-shell-size": "10", "eggs-large-in-shell-price": "3.20"})
    assert Pack.objects.get().size == "10 each"
    answer = owner.post(PAGE, {"sugar-granulated-size": "10", "sugar-granulated-price": "9"})
    assert answer.status_code == 422
