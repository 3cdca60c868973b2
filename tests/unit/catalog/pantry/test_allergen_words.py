"""Allergens in plain words."""

import pytest

from catalog.pantry.allergens import asked_of
from catalog.pantry.presenters import allergen_word, allergen_words, counted_need_words, label_words, need_words


def test_allergens_are_named_and_joined_as_a_sentence_does() -> None:
    assert allergen_word("brazil-nuts") == "Brazil nuts"
    assert allergen_word("home-made-code") == "home made code"
    assert allergen_words(["milk", "eggs", "walnuts"]) == "milk, eggs and walnuts"
    assert allergen_words(["milk"]) == "milk"
    assert allergen_words(None) == ""


def test_the_same_code_says_what_an_ingredient_holds_and_what_a_guest_cannot_eat() -> None:
    assert (allergen_words(["gluten", "milk"]), need_words(["gluten", "milk"])) == (
        "milk and a gluten cereal, not named",
        "gluten (celiac) and milk",
    )
    assert need_words(["tree-nuts", "hazelnuts"]) == "tree nuts and hazelnuts"
    assert need_words(None) == ""


def test_the_species_stands_beside_the_fish_and_its_absence_is_said_where_the_law_asks() -> None:
    assert label_words(("fish",), (), (), "us", names={"fish": ["cod", "basa"]}) == "Contains fish (basa and cod)."
    assert label_words(("fish",), (), (), "us") == "Contains fish (species not named)."
    assert label_words(("fish",), (), (), "eu") == "Contains fish."


def test_what_was_not_checked_is_named_counted_or_said_of_all_others() -> None:
    assert label_words(("milk",), ("almonds",), ("soybeans", "sesame"), "us", ask="ask us") == (
        "Contains milk. May contain almonds. Not checked yet for soybeans and sesame: ask us."
    )
    all_others = [code for code in asked_of("us") if code != "milk"]
    assert label_words(("milk",), (), all_others, "us") == "Contains milk. Other allergens not checked yet."
    assert label_words((), (), asked_of("us"), "us") == "Allergens not checked yet."
    assert label_words(("milk",), (), all_others[:9], "us").endswith("Not checked yet for 9 allergens.")


def test_needs_are_counted_where_somebody_counted_them() -> None:
    assert counted_need_words(["gluten", "milk"], {"gluten": 2}) == "2 guests: gluten (celiac); milk"
    assert counted_need_words(None, None) == ""


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("us", "None of the major allergens."),
        ("eu", "None of the 14 allergens of the list."),
        ("ca", "None of the allergens of the list."),
    ],
)
def test_none_is_none_of_the_list_in_force(which: str, words: str) -> None:
    assert label_words((), (), (), which) == words
