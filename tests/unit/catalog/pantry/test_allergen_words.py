"""Allergens in plain words."""

from catalog.pantry.presenters import allergen_word, allergen_words


def test_allergens_are_named_and_joined_as_a_sentence_does() -> None:
    assert allergen_word("tree-nuts") == "tree nuts"
    assert allergen_word("home-made-code") == "home made code"
    assert allergen_words(["milk", "eggs", "tree-nuts"]) == "milk, eggs and tree nuts"
    assert allergen_words(["milk"]) == "milk"
    assert allergen_words(None) == ""
