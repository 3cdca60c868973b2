"""Needs that a note names in plain words, with the number before each."""

import pytest

from catalog.pantry.note_needs import needs_in


@pytest.mark.parametrize(
    ("note", "needs"),
    [
        ("2 coeliac, 1 peanut, 1 fish", {"gluten": 2, "peanuts": 1, "fish": 1}),
        ("Two guests cannot eat nuts, one no milk at all.", {"tree-nuts": 2, "milk": 1}),
        ("3 x vegan; one guest is allergic to sesame", {"vegan": 3, "sesame": 1}),
        ("A celiac child, lactose intolerant aunt", {"gluten": None, "milk": None}),
        ("shellfish and soy", {"crustaceans": None, "soybeans": None}),
        ("2 people with egg allergy, 1 dairy", {"eggs": 2, "milk": 1}),
        ("12 tree nuts, 1 walnut", {"tree-nuts": 12, "walnuts": 1}),
        ("A guest carries a pen. Coconut and nutmeg are fine.", {}),
        ("", {}),
    ],
)
def test_needs_are_recognized_with_their_numbers(note: str, needs: dict[str, int | None]) -> None:
    assert needs_in(note) == needs
