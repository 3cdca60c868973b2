"""Allergens in plain words."""

from catalog.pantry.presenters import allergen_word, allergen_words, need_words


def test_allergens_are_named_and_joined_as_a_sentence_does() -> None:
    assert allergen_word("brazil-nuts") == "Brazil nuts"
    assert allergen_word("home-made-code") == "home made code"
    assert allergen_words(["milk", "eggs", "walnuts"]) == "milk, eggs and walnuts"
    assert allergen_words(["milk"]) == "milk"
    assert allergen_words(None) == ""


def test_the_same_code_says_what_an_ingredient_holds_and_what_a_guest_cannot_eat() -> None:
    assert (allergen_words(["gluten", "milk"]), need_words(["gluten", "milk"])) == (
        "milk and a gluten cereal, not named",
        "gluten (coeliac) and milk",
    )
    assert need_words(["tree-nuts", "hazelnuts"]) == "tree nuts and hazelnuts"
    assert need_words(None) == ""
