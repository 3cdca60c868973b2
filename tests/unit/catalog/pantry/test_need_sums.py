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


@pytest.mark.parametrize(
    ("note", "guests"),
    [
        ("Ella is coeliac, and two more on her table", 3),
        ("Ella is coeliac, with two others on her table", 3),
        ("Ella's coeliac; same with two others", 3),
        ("Leo is coeliac. Two more at the back.", 3),
        ("My mother is coeliac, plus two at table 4", 3),
        ("One coeliac, and then two more on table 5", 3),
        ("Two of my cousins are coeliac and another three at the bar", 5),
        ("Three are coeliac, and a further two arrive late", 5),
        ("Anna is coeliac and so are two of her friends", 3),
        ("My sister is coeliac, so is her husband", 2),
        ("Bo is coeliac, and three others do too", 4),
        ("3 coeliacs. Also two on table 6", 5),
        ("2 coeliacs + 3", 5),
        ("Ella hat Z\u00f6liakie, und zwei weitere an ihrem Tisch", 3),
        ("Zwei sind Z\u00f6liakie-Betroffene und noch drei an der Bar", 5),
        ("Ella est c\u0153liaque, et deux autres \u00e0 sa table", 3),
        ("Deux cousins sont c\u0153liaques et trois autres au bar", 5),
    ],
)
def test_others_at_the_table_are_added_to_those_before(note: str, guests: int) -> None:
    assert needs_in(note, 80) == {"gluten": guests}
    assert need_numbers(note, 80)["gluten"].guests == guests


@pytest.mark.parametrize(
    "note",
    [
        *("Ella and two more are coeliac", "Ella and two friends are coeliac", "The Fays are coeliac, and two more"),
        *("My daughter and two of her friends are coeliac", "Two coeliacs here and four over there"),
        *("2 coeliac, then 3 in the evening", "1 coeliac adult and 2 kids", "2 coeliacs and several more"),
        *(
            "one of the bridesmaids is coeliac, and a couple of the ushers",
            "Ein Kind mit Z\u00f6liakie und zwei Erwachsene",
        ),
        *(
            "Two coeliac and three more at the bar and one in the kitchen",
            "Both my parents are coeliac and so is my uncle",
        ),
    ],
)
def test_where_others_are_maybe_of_the_same_need_no_number_is_read(note: str) -> None:
    assert needs_in(note, 80) == {"gluten": None}
    number = need_numbers(note, 80)["gluten"]
    assert number.guests is None or number.besides


@pytest.mark.parametrize(
    "note", ["2 coeliac and 40 guests", "2 coeliac, 3 tiers", "2 coeliac, delivery at 9", "2 coeliac, thanks"]
)
def test_numbers_of_other_things_are_not(note: str) -> None:
    assert needs_in(note, 80) == {"gluten": 2}


def test_french_vegans_are_counted() -> None:
    assert needs_in("Ma tante est v\u00e9gane, ses deux filles aussi", 80) == {"vegan": 3}


@pytest.mark.parametrize(
    ("note", "least"),
    [("2 coeliac and both their husbands", 2), ("3 coeliac (4 if Lars comes)", 4), ("4 coeliac, or maybe 5", 4)],
)
def test_a_number_that_the_note_leaves_open_is_no_number(note: str, least: int) -> None:
    assert needs_in(note, 80) == {"gluten": None}
    assert least_needs_in(note, 80) == {"gluten": least}
