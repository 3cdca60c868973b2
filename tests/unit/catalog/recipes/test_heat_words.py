"""Words that speak of heat are found in the languages of kitchens, and others are not."""

import pytest

from catalog.recipes.heat_words import heat_word
from tests.each import each


@each(
    "text",
    [
        "Boil the milk, pour on the yolks, boil again",
        "Baking",
        "Pre-heat",
        "Temper the eggs",
        "Caramelize the sugar",
        "Pasteurise",
        "Sahne aufkochen",
        "Die Milch erwärmen",
        "Butter schmelzen",
        "Nüsse rösten",
        "Bouillir le lait",
        "Cuire à la nappe",
        "Rôtir les amandes",
        "Far bollire il latte",
        "Cuocere",
        "Pastorizzare",
        "Hervir la leche",
        "Cocer la crema",
        "Derretir",
        "Melk opkoken",
        "Laten smelten",
        "Amandelen roosteren",
    ],
)
def test_these_speak_of_heat(text: str) -> None:
    assert heat_word([text])


@pytest.mark.parametrize(
    "text",
    [
        "Get it together",
        "Cream, add eggs, fold",
        "Cookie crumbs",
        "At room temperature",
        "Rest in the cold",
        "Shot",
        "",
    ],
)
def test_these_do_not(text: str) -> None:
    assert heat_word([text]) == ""


def test_the_word_is_named_as_it_is_written() -> None:
    assert heat_word(["Mix", "Boil the milk"]) == "Boil"
