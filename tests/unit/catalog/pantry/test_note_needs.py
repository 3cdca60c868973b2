"""Needs that a note names in plain words, with the number before each."""

import pytest

from catalog.pantry.note_needs import may_name_need, needs_in


@pytest.mark.parametrize(
    ("note", "needs"),
    [
        ("2 coeliac, 1 peanut, 1 fish", {"gluten": 2, "peanuts": 1, "fish": 1}),
        ("Two guests cannot eat nuts, one no milk at all.", {"tree-nuts": 2, "milk": 1}),
        ("3 x vegan; one guest is allergic to sesame", {"vegan": 3, "sesame": 1}),
        ("A celiac child, lactose intolerant aunt", {"gluten": None, "milk": None}),
        ("shellfish and soy", {"crustaceans": None, "soybeans": None}),
        ("2 people with egg allergy, 1 dairy", {"eggs": 2, "milk": 1}),
        ("1 brazil\u2011nut, 2 tree\u2013nuts, 1 wal\u00adnut", {"brazil-nuts": 1, "tree-nuts": 2, "walnuts": 1}),
        ("12 tree nuts, 1 walnut", {"tree-nuts": 12, "walnuts": 1}),
        ("A guest carries a pen. Coconut and nutmeg are fine.", {}),
        ("", {}),
    ],
)
def test_needs_are_recognized_with_their_numbers(note: str, needs: dict[str, int | None]) -> None:
    assert needs_in(note) == needs


@pytest.mark.parametrize(
    "text",
    [
        "my aunt can't eat walnuts",
        "My aunt can’t eat walnuts.",
        "One more thing: walnuts make my aunt ill.",
        "Is there any milk in the mousse?",
        "Two of us are coeliac.",
        "My son is allergic to kiwi.",
        "One guest carries an EpiPen.",
        "We need two vegan portions.",
        "Please no nuts.",
        "Is the tart glu\u200bten\u2011free?",
        "Are there nuts in it?",
        "Is the tart gluten free?",
        "1 walnut, 2 eggs",
        "Unser Onkel hat Zöliakie.",
        "Meine Tante ist allergisch.",
        "Ma tante est allergique aux noix.",
        "Mi tía es celíaca.",
        "Mia zia è celiaca.",
        "Bitte ohne Nüsse",
        "Mijn tante is allergisch.",
        "A minha tia é alérgica.",
    ],
)
def test_words_that_may_name_a_need_are_noticed(text: str) -> None:
    assert may_name_need(text)


@pytest.mark.parametrize(
    "text",
    [
        "Could we have it at five?",
        "Could we have ten more of the almond tartlets?",
        "Please the Walnut ring, large instead of the mousse.",
        "We love the butter cream. Could it be cream coloured?",
        "Ida wanted to approve this quote on its page.",
        "The address has changed: 4 Oak Mill Lane.",
        "Can you split the invoice? We cannot have the van in the yard.",
        "Please add milk chocolate for the children.",
        "Nutmeg Street, by the coconut palm",
    ],
)
def test_words_about_anything_else_are_not(text: str) -> None:
    assert not may_name_need(text, ["Walnut ring, large"])
