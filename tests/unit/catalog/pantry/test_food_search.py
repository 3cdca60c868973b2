"""A plain name means the plain food, in the food table as among the common ingredients."""

import pytest

from catalog.pantry.common import common_of, foods_for
from catalog.pantry.food_table import suggestions


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("butter", "Butter, without salt"),
        ("Butter", "Butter, without salt"),
        ("European butter, unsalted", "Butter, without salt"),
        ("salted butter", "Butter, salted"),
        ("peanut butter", "Peanut butter, smooth style, without salt"),
        ("milk", "Milk, whole, 3.25% milkfat, with added vitamin D"),
        ("Organic milk", "Milk, whole, 3.25% milkfat, with added vitamin D"),
        ("condensed milk", "Milk, canned, condensed, sweetened"),
        ("cream", "Cream, fluid, heavy whipping"),
        ("sour cream", "Cream, sour, cultured"),
        ("sugar", "Sugars, granulated"),
        ("brown sugar", "Sugars, brown"),
        ("eggs", "Egg, whole, raw, fresh"),
        ("egg yolks", "Egg, yolk, raw, fresh"),
    ],
)
def test_the_plain_food_is_first(name: str, first: str) -> None:
    assert suggestions(name)[0].name == first or foods_for(name)[0].name == first
    assert foods_for(name)[0].name == first


@pytest.mark.parametrize(("name", "key"), [("butter", "butter-unsalted"), ("milk", "whole-milk")])
def test_the_common_one_of_a_plain_name(name: str, key: str) -> None:
    found = common_of(name)
    assert found is not None
    assert found.key == key
    assert suggestions(name)[0] == found.food
