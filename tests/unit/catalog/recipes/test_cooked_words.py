"""What a cook writes for heat without a word of heat is found, and counts, times and measures are not."""

import pytest

from catalog.recipes.cooked_words import bare_degrees, cooked_preparation, heat_source, ribbon_word
from tests.each import each


@pytest.mark.parametrize(
    ("text", "degrees", "found"),
    [
        ("Bring up to 180 and hold", "F", "180"),
        ("Take it to 82, whisking", "C", "82"),
        ("90/8 min", "C", "90/8 min"),
        ("90/8 min", "F", "90/8 min"),
        ("Auf 84 bringen", "C", "84"),
        ("Jusqu’à 83", "C", "83"),
        ("170-180 then strain", "F", "170"),
        ("Bring to 180 in the pan", "F", "180"),
        ("Up to 82", "C", "82"),
        ("Take it past 83 in small batches", "C", "83"),
        ("Cut to 60 in", "C", ""),
        ("Bring up to 180", "C", ""),
        ("Divide into 180 cups", "F", ""),
        ("Scale to 160 g", "F", ""),
        ("Cut to 150 pieces", "F", ""),
        ("Whisk at 180 rpm", "F", ""),
        ("Rest for 90 minutes", "C", ""),
        ("Rest 90 min", "C", ""),
        ("Rest for 60-90 minutes", "C", ""),
        ("Rest for 60 to 90 minutes", "C", ""),
        ("Pipe 80 rosettes", "C", ""),
        ("Fill 60x40 sheets", "C", ""),
        ("Start at 10:60", "C", ""),
        ("Fill to 75%", "C", ""),
        ("Tip no. 70", "C", ""),
    ],
)
def test_a_bare_number_is_one_of_cooking_in_the_kitchens_degrees(text: str, degrees: str, found: str) -> None:
    assert bare_degrees([text], degrees) == found


@each(
    "text",
    [
        "Induction 6, whisk 8 min",
        "On the hob",
        "Over a low flame",
        "Over medium heat",
        "Steam oven, 20",
        "Auf dem Herd",
        "Im Wasserbad",
        "Sur le feu",
        "À feu doux",
        "Au bain-marie",
        "30 s in the micro",
        "Micro 40",
        "Over the bain",
        "To the nappe",
        "Nappe",
        "Syrup to soft ball",
        "hard crack",
        "To the thread",
        "Varoma 12 min",
        "Steep the tea in the cream",
        "Infuse the vanilla",
        "Whisk until it shivers",
        "To the first blip",
        "Zap it",
    ],
)
def test_what_heats_is_found(text: str) -> None:
    assert heat_source([text])


@each(
    "text", ["Micro greens on top", "In micro-herbs", "Steep the tea in cold cream", "Cold-infuse", "Bain d'eau froide"]
)
def test_what_is_done_cold_or_is_food_is_not(text: str) -> None:
    assert heat_source([text]) == ""


def test_a_ribbon_of_egg_is_found_and_one_of_cloth_is_not() -> None:
    assert ribbon_word(["Whisk the yolks to the ribbon"]) == "ribbon"
    assert ribbon_word(["Tie the satin ribbon"]) == ""


@each("text", ["Whisk", "Fold in the feuilletine", "Pipe rounds", "Keep in the cold room"])
def test_what_does_not_heat_is_not(text: str) -> None:
    assert heat_source([text]) == ""


@each(
    "text",
    [
        "Make the anglaise as usual, to the rose",
        "Crème pâtissière",
        "Lemon curd",
        "Swiss meringue",
        "Pâte à bombe",
        "Ganache",
        "Béchamel",
        "Brandteig",
        "Gelée",
    ],
)
def test_what_is_cooked_as_a_rule_is_found(text: str) -> None:
    assert cooked_preparation([text])


def test_what_goes_in_ready_made_is_not_asked_about() -> None:
    assert cooked_preparation(["Fold in the lemon curd"], but=["Lemon curd"]) == ""
    assert cooked_preparation(["Fold in the maple syrup"], but=["Maple syrup, dark"]) == ""
    assert cooked_preparation(["Vanilla custard"], but=["Custard powder"]) == "custard"
    assert cooked_preparation(["Whisk in the custard powder"]) == ""
