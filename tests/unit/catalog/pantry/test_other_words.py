"""What a note or a message names and no list has, with its guests; what is only wanted, or is no food, is left out."""

from time import perf_counter

import pytest

from catalog.pantry.other_needs import other_words
from catalog.pantry.other_words import may_name_any_need, needs_named, others_in

FOUND = [
    ("My son is allergic to kiwi.", {"kiwi": 1}),
    ("2 guests allergic to kiwi, 1 to mango", {"kiwi": 2, "mango": 1}),
    ("2 kiwi, 1 strawberry", {"kiwi": 2, "strawberries": 1}),
    ("Rosa: corn", {"corn": None}),
    ("kiwi", {"kiwi": None}),
    ("nightshades x2", {"nightshades": 2}),
    ("one guest has a latex allergy", {"latex": 1}),
    ("Three guests avoid corn", {"corn": 3}),
    ("3 cannot have rhubarb; 2 allergic to jackfruit", {"rhubarb": 3, "jackfruit": 2}),
    ("She can't eat dragon fruit or tamarind.", {"dragon fruit": 1, "tamarind": 1}),
    ("Allergic to red 40 and yellow 5", {"food coloring": None, "yellow 5": None}),
    ("My niece has a severe sulfa allergy", {"sulfa": 1}),
    ("My mother gets a rash from pineapple", {"pineapple": 1}),
    ("No strawberries please, Rosa is allergic", {"strawberries": None}),
    ("two kids allergic to bananas", {"bananas": 2}),
    ("2 kiwi. And 1 more kiwi", {"kiwi": None}),
    ("Corn intolerance (1 adult, 2 children)", {"corn": None}),
    ("one guest: latex-fruit syndrome", {"latex": 1}),
    ("MSG makes her ill", {"MSG": None}),
    ("carrageenan upsets my stomach", {"carrageenan": None}),
    ("corn-free please for Leo", {"corn": None}),
    ("Lena reagiert auf Kiwi", {"kiwi": None}),
    ("Allergie gegen Erdbeeren", {"strawberries": None}),
    ("Meine Tante verträgt keine Tomaten", {"tomatoes": 1}),
    ("Lukas ist gegen Zimt allergisch", {"cinnamon": None}),
    ("zwei vertragen keinen Knöterich", {"knöterich": 2}),
    ("Kiwiallergie bei einem Kind", {"kiwi": 1}),
    ("ma tante est allergique aux fraises et au tamarin", {"strawberries": 1, "tamarin": None}),
    ("une personne ne mange pas de kiwi", {"kiwi": None}),
]
NOTHING = [
    *("He cannot eat much", "We cannot have dinner before 8", "allergic to bee stings", "allergic to it"),
    *("My aunt is allergic to peanuts, and we love your strawberry tart.", "strawberry tart please, no nuts"),
    *("No problem, strawberry is great", "Anna: peanuts and dairy", "gluten free", "please avoid the main road"),
    *(
        "lemon cake for 20, no allergies",
        "he is allergic to nuts but can have lemon and vanilla",
        "2 halal, 1 vegan",
        "",
    ),
]


@pytest.mark.parametrize(("text", "needs"), FOUND)
def test_what_is_found(text: str, needs: dict[str, int | None]) -> None:
    assert {other_words(code): n for code, n in others_in(text, 100).items()} == needs


@pytest.mark.parametrize("text", NOTHING)
def test_what_is_left_out(text: str) -> None:
    assert others_in(text, 100) == {}


def test_a_number_above_the_guests_is_none_of_them() -> None:
    assert list(others_in("40 allergic to kiwi", 20).values()) == [None]


def test_both_kinds_are_named_together() -> None:
    assert needs_named("2 peanut, 1 kiwi") == {"peanuts": 2, "other:kiwi": 1}


@pytest.mark.parametrize(
    "text",
    [
        *(
            "No nightshades for two of us",
            "No coconut. Thanks!",
            "She can't do garlic",
            "tomato free",
            "corn-free for Leo",
        ),
        *("latex-fruit syndrome", "Lena reagiert auf Kiwi", "carrageenan upsets my stomach", "No strawberries, please"),
    ],
)
def test_a_message_that_may_name_it_is_held(text: str) -> None:
    assert may_name_any_need(text)


@pytest.mark.parametrize(
    "text",
    [
        *("Could we have 10 more kiwi tarts?", "We would love strawberry tartlets, no chocolate ones", "kiwi"),
        *("The chocolate one is not needed any more", "Not the lemon tart but the orange tart please"),
        *("No parking at the venue, thanks", "feel free to add lemons", "I have no preference: vanilla or chocolate"),
        "No Kiwi Cloud please",
    ],
)
def test_a_message_about_what_is_sold_is_not(text: str) -> None:
    assert not may_name_any_need(text, sold=["Kiwi Cloud"])


@pytest.mark.parametrize("text", ["kiwi-" * 800, "kiwi allergy " * 300, "no " * 1300, "allergic to kiwi and " * 190])
def test_long_texts_are_read_in_time(text: str) -> None:
    begun = perf_counter()
    others_in(text, 100)
    assert perf_counter() - begun < 3  # measured: 0.2 s at most


@pytest.mark.parametrize(
    "note", ["Peanut allergy: bride, her mother, both bridesmaids", "Peanut allergy: two aunts and the groom"]
)
def test_who_has_an_allergy_is_no_food(note: str) -> None:
    assert others_in(note, 80) == {}
