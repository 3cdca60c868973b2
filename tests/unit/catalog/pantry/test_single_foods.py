"""Names that are plainly of one food or of packing, every word of them known; of all others it is asked."""

import pytest

from catalog.pantry.common import common_ingredients
from catalog.pantry.free_by import free_lost, source_of
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import names_a_food
from catalog.pantry.made_foods import is_made
from catalog.pantry.single_foods import is_single_food, plainly_packing


@pytest.mark.parametrize(
    "name",
    [
        *(
            "Granulated sugar",
            "Sugar, dark brown",
            "Lemons",
            "Sea salt",
            "Whole milk 3.5%",
            "European style butter 82%",
        ),
        *("Bread flour", "Rose water", "Puderzucker", "Speisestärke", "Farine T55", "Strawberry jam", "Agar powder"),
        *("Cake boxes 10 in", "Paper case", "Satin ribbon", "Glass cups with lids"),
    ],
)
def test_a_plain_food_and_packing_are(name: str) -> None:
    assert is_single_food(name)


@pytest.mark.parametrize(
    "name",
    [
        *("Croquembouche", "Croquembouche shells", "Nutela dip", "Kransekake", "Pnut clusters", "Biscoff-like crumble"),
        *("Marchpane", "Gianduia", "Praline", "Zorb sugar disc", "Lemon drizzle", "Orangette", "Mint cups", "Nut mix"),
        *("Isola butter", "Dark chocolate 70%", "Kransekake box", "Walnut praline box", "Cookie tin", "Wafer cup", ""),
    ],
)
def test_what_has_a_word_nobody_knows_or_is_made_of_several_things_is_not(name: str) -> None:
    assert not is_single_food(name)


def test_a_word_of_shape_alone_does_not_make_a_name_known() -> None:
    assert not names_a_food("Croquembouche shells")


def test_a_common_ingredient_is_one_unless_it_is_made_of_several_things() -> None:
    names = [name for one in common_ingredients().values() for name in one.called]
    assert [name for name in names if not is_single_food(name) and not is_made(name)] == []


@pytest.mark.parametrize("name", ["Kransekake box", "Wafer cup", "Kransekake", "Cookie tin"])
def test_what_may_be_food_is_no_packing(name: str) -> None:
    assert not plainly_packing(name)


def test_an_answer_is_for_the_name_it_was_given_for() -> None:
    assert source_of("own:Kransekake", "Kransekake ") == "own"
    assert source_of("own:Kransekake", "Marchpane") == ""
    assert source_of("guessed:Kransekake", "Kransekake") == ""


def test_another_name_takes_free_back_whatever_it_is() -> None:
    assert "hazelnuts" in foods_named("Hazelnuts")
    assert free_lost(before="Vole disc", name="Hazelnuts", answers={"hazelnuts": "free"})
    assert free_lost(before="Vole disc", name="Lemons", answers={"hazelnuts": "free"})
    assert not free_lost(before="Vole disc", name="VOLE-disc.", answers={"hazelnuts": "free"})
    assert not free_lost(before="Vole disc", name="Kransekake", answers={"hazelnuts": "contains"})
