"""A need that a note names in several places: added where that is plain, and no number where it is not."""

import pytest

from catalog.pantry.more_words import need_numbers
from catalog.pantry.note_needs import least_needs_in, needs_in


@pytest.mark.parametrize(
    ("note", "needs"),
    [
        ("1 peanut guest. 2 more with peanut", {"peanuts": 3}),
        ("3 coeliac, another 2 dairy, plus one more coeliac", {"gluten": 4, "milk": 2}),
        ("one coeliac; another 3 coeliac at table 4", {"gluten": 4}),
        ("2 sesame, 1 mustard and 3 more sesame", {"sesame": 5, "mustard": 1}),
        ("2 coeliac, and her sister too", {"gluten": 3}),
        ("peanut: bride, groom, best man", {"peanuts": 3}),
        ("bride and groom are coeliac", {"gluten": 2}),
        ("the bride: no egg. Same for 2 of her aunts", {"eggs": 3}),
        ("My niece has a nut allergy, two of her boys too", {"tree-nuts": 3}),
        ("2 GF, 1 more GF", {"gluten": 3}),
        ("One guest is allergic to walnuts. Please no walnuts.", {"walnuts": 1}),
    ],
)
def test_what_is_plainly_added(note: str, needs: dict[str, int]) -> None:
    assert needs_in(note, 80) == needs
    assert {code: one.guests for code, one in need_numbers(note, 80).items()} == needs


@pytest.mark.parametrize(
    ("note", "least"),
    [
        ("2 coeliac at noon, 3 coeliac at night", {"gluten": 3}),
        ("2 vegan, my vegan sister", {"vegan": 2}),
        ("peanut: bride, Anna", {"peanuts": 1}),
        ("1 coeliac guest, 2 more guests coming", {"gluten": 1}),
        ("bride is vegan, groom, best man coeliac", {"vegan": 1, "gluten": 1}),
    ],
)
def test_what_only_somebody_can_tell_has_no_number(note: str, least: dict[str, int]) -> None:
    assert needs_in(note, 80) == dict.fromkeys(least)
    assert least_needs_in(note, 80) == least


@pytest.mark.parametrize(
    "note", ["Table 3 peanut, table 5 coeliac", "room 12: peanut and coeliac", "peanut row 4, course 2 coeliac"]
)
def test_numbers_of_tables_are_none_of_guests(note: str) -> None:
    assert needs_in(note, 80) == {"peanuts": None, "gluten": None}


def test_what_is_added_in_two_places_is_all_added() -> None:
    found = need_numbers("1 more coeliac at table 2, and 2 more coeliac at table 4", 80)
    assert [(code, one.guests, one.more) for code, one in found.items()] == [("gluten", 3, True)]
