"""Words that speak of heat are found in the languages of kitchens, and others are not."""

import pytest

from catalog.recipes.heat_words import heat_word, heating_word, hot_reading
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


@each(
    "name",
    [
        "Temper the yolks",
        "Combine over bain-marie",
        "Whisk in a double boiler",
        "Set over a water bath",
        "Warm gently",
        "Dissolve the gelatin",
        "Infuse the cream",
        "Scald",
        "Melt the butter",
        "Gelatine auflösen",
        "Im Wasserbad aufschlagen",
        "Dissoudre la gélatine",
        "Sciogliere la gelatina",
        "Al baño maría",
        "De gelatine oplossen",
    ],
)
def test_a_step_called_so_heats(name: str) -> None:
    assert heating_word(name)


@each("name", ["Cool in an ice bath", "In an ice-water bath", "At room temperature", "Fold in the melted butter"])
def test_a_step_called_so_does_not(name: str) -> None:
    assert heating_word(name) == ""


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Bring to 180 °F and pour", "180 °F"),
        ("Pour at 185 F", "185 F"),
        ("82 °C", "82 °C"),
        ("170–180°F", "170–180°F"[4:]),
        ("Auf 82 Grad bringen", "82 Grad"),
        ("bring to 180 degrees", "180 degrees"),
        ("À 83,5 °C", "83,5 °C"),
        ("At 70 °F, room temperature", ""),
        ("Cool to 35 °C", ""),
        ("121 °F", ""),
        ("Divide into 60 cups", ""),
        ("Whisk 90 seconds", ""),
    ],
)
def test_a_temperature_at_which_food_is_hot_is_found_as_it_is_written(text: str, found: str) -> None:
    assert hot_reading([text]) == found
