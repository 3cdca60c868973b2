"""Names that say what something is, and those that do not."""

import pytest

from catalog.pantry.common import common_ingredients
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import is_ingredient_list, names_a_food


@pytest.mark.parametrize(
    "name", ["Fea Zorbella", "Golden Krunchify", "Vitano 3000", "Mix no. 7", "Premium Delight", ""]
)
def test_a_trade_name_says_nothing(name: str) -> None:
    assert not names_a_food(name)


@pytest.mark.parametrize(
    "name",
    [
        *("Flour", "sugar", "Butter", "Heavy cream", "Fea flour", "cake boxes 10 in", "satin ribbon", "baking powder"),
        *(
            "Puderzucker",
            "Speisestärke",
            "Marillenmarmelade",
            "Levure chimique",
            "Farine T55",
            "Sel fin",
            "Zucchero a velo",
        ),
        *("Yuzu juice", "Mochiko", "Kinako", "Jaggery", "Panela", "Mahleb", "Sooji", "Khoya", "Ube halaya", "Durian"),
        *("Lingonberries", "Masa harina", "Piloncillo", "Rose water", "Quinces", "Sea salt", "Agar", "Isomalt"),
    ],
)
def test_a_plain_food_is_known(name: str) -> None:
    assert names_a_food(name)


def test_every_common_ingredient_is_known() -> None:
    assert [one.names for one in common_ingredients().values() if not any(map(names_a_food, one.names.values()))] == []


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Kinako", "soybeans"),
        ("Doenjang", "soybeans"),
        ("Khoya", "milk"),
        ("Brunost", "milk"),
        ("Sooji", "wheat"),
        ("Mugicha", "barley"),
        ("Kuro goma", "sesame"),
        ("Katsuobushi", "fish"),
        ("Chikki", "peanuts"),
        ("Romesco", "almonds"),
    ],
)
def test_kitchen_words_of_other_cuisines_name_their_allergen(name: str, code: str) -> None:
    assert code in foods_named(name)


@pytest.mark.parametrize(
    "name",
    [
        *("Orlo's cups", "Mint cups", "Peanut cups", "Puffed rice bars", "Sprinkles", "Candy eyes", "Rum bites"),
        *("Vela mint chips", "Vela lemon sticks", "Mix", "Mini pieces"),
    ],
)
def test_a_shape_or_a_pack_does_not_say_what_is_in_it(name: str) -> None:
    assert not names_a_food(name)


@pytest.mark.parametrize(
    "name", ["Cinnamon sticks", "Mango pieces", "Paper cups", "Cups 250 ml", "Glass cups with lids"]
)
def test_one_thing_in_a_shape_and_a_cup_to_pack_in_are_known(name: str) -> None:
    assert names_a_food(name)


@pytest.mark.parametrize(
    ("name", "codes"),
    [
        ("Caramels", {"milk"}),
        ("Toffee", {"milk"}),
        ("Vanilla pudding", {"milk"}),
        ("Lemon bars", {"milk", "eggs", "wheat"}),
        ("Icing", {"milk", "eggs"}),
        ("Icing sugar", set()),
        ("Corn flakes", {"barley"}),
        ("Crisped rice", {"barley"}),
        ("hydrolysed vegetable protein", {"soybeans", "wheat"}),
        ("maltodextrin", set()),
        ("E1105", {"eggs"}),
        ("lysozyme", {"eggs"}),
    ],
)
def test_sweets_and_additives_name_what_is_usually_in_them(name: str, codes: set[str]) -> None:
    assert set(foods_named(name)) == codes


@pytest.mark.parametrize(
    "text", ["see label", "see the pack, sugar", "n/a", "none", "-", "unknown", "hazelnuts", "Zucker"]
)
def test_what_is_no_list_of_ingredients(text: str) -> None:
    assert not is_ingredient_list(text)


@pytest.mark.parametrize("text", ["Sugar, palm oil", "Zucker; Kakao", "100% hazelnuts", "hazelnuts 100 %"])
def test_what_is_one(text: str) -> None:
    assert is_ingredient_list(text)
