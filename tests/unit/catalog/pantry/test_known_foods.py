"""Names that say what something is, and those that do not."""

import pytest

from catalog.pantry.common import common_ingredients
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import names_a_food


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
