"""Extras that are no food by every word of their names, and all others, which are asked."""

import pytest

from catalog.pantry.thing_words import plainly_no_food
from tests.each import each


@pytest.mark.parametrize(
    "name",
    [
        *(
            "Cake stands",
            "Cake stand",
            "Linen tablecloths",
            "Glass vases",
            "Setup",
            "Delivery and setup",
            "Table rental",
        ),
        *("Cutting the cake", "Knife and server", "Three staff for the evening", "Acrylic risers", "White linen hire"),
    ],
)
def test_a_thing_that_is_used_beside_food_is_none(name: str) -> None:
    assert plainly_no_food(name)


@each(
    "name",
    [
        *("Marzipan roses", "Peanutbrittle crunch", "Cacahu\u00e8te shards", "Tahini swirl", "Candied violets"),
        *("Champagne", "Prosecco", "Wine", "Cupcake tower", "Cake stand with cakes", "Stand with cake"),
        *("Brioche stand", "Sugar flowers", "Fruit", "Cake", "Truffle box", "Surprise", "Nougat table"),
    ],
)
def test_a_name_with_any_other_word_may_be_food(name: str) -> None:
    assert not plainly_no_food(name)
