"""Several numbers or needs in one sentence: each number is of a need that plainly has it, or of none."""

import pytest

from catalog.pantry.more_words import need_numbers
from catalog.pantry.note_needs import least_needs_in, needs_in
from catalog.pantry.other_words import needs_named


@pytest.mark.parametrize(
    "text",
    [
        *("The two who cannot have citrus are now four, and Ode swells up after nuts", "nuts 2 eggs 3"),
        "Ode swells up after nuts and the two who cannot have citrus are now four",
        "Ode swells up after nuts. The two who cannot have citrus are now four",
        "Now four cannot have citrus, up from two; Ode swells up after nuts",
        "The two nut guests are now four. Ode swells up after citrus",
        "Die zwei mit Z\u00f6liakie sind jetzt vier, und Ode schwillt von N\u00fcssen an",
        "Les deux coeliaques sont maintenant quatre, et Ode gonfle apr\u00e8s les noix",
        "Instead of two coeliacs there are four, one of them also vegan",
        "The two peanut guests became three and Lea gets hives from sesame",
        "We thought two cannot have eggs but it is four, and Ida reacts to kiwi",
        "The 3 coeliacs are 5 now, and my aunt has a nut allergy",
        "not two but three coeliacs, and one nut allergy",
        *(
            "Two kids and four adults no nuts, Ben vegan",
            "2 children 1 adult coeliac",
            "2 adults, 3 kids with nut allergy",
        ),
        *("two of five guests are coeliac", "2 out of 5 have a nut allergy", "half of the 10 children are vegan"),
        *("We are now 75, two coeliacs", "1 nut 1 egg 1 both", "two dozen vegans", "due o tre celiaci", "2-3 coeliacs"),
        *("2 of the 6 vegans cannot have soy", "one of the two coeliacs cancelled", "two fewer vegans, so three"),
    ],
)
def test_a_number_that_may_be_of_something_else_is_none(text: str) -> None:
    assert set(needs_named(text, 80).values()) == {None}
    assert all(one.guests is None and not one.more for one in need_numbers(text, 80).values())


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("2 nuts 3 eggs", {"tree-nuts": 2, "eggs": 3}),
        ("nuts: 2, eggs: 3", {"tree-nuts": 2, "eggs": 3}),
        ("vegan for two, four for gluten", {"vegan": 2, "gluten": 4}),
        ("My sister cannot have nuts and her two kids no dairy", {"tree-nuts": 1, "milk": 2}),
        ("Five guests: two coeliac, three vegan", {"gluten": 2, "vegan": 3}),
        ("8 guests, 2 vegan", {"vegan": 2}),
        ("my two girls are vegan and four boys swell up after nuts", {"vegan": 2, "tree-nuts": 4}),
        ("20 vegan, of which 5 also gluten free", {"vegan": 20, "gluten": 5}),
        ("one of the two coeliacs cancelled; the four vegans stay", {"gluten": None, "vegan": 4}),
        ("there are now four who can't have nuts, Ode swells up after sesame", {"tree-nuts": 4, "sesame": None}),
    ],
)
def test_what_is_plain_is_read(text: str, needs: dict[str, int | None]) -> None:
    assert needs_in(text, 80) == needs
    assert {code: one.guests for code, one in need_numbers(text, 80).items()} == needs


@pytest.mark.parametrize(
    ("text", "guests"),
    [
        *(("The two coeliacs are now four", 4), ("The three coeliacs are now five", 5)),
        *(("Die zwei mit Z\u00f6liakie sind jetzt vier", 4), ("We are now 3 coeliacs", 3)),
    ],
)
def test_one_need_has_the_number_it_has_now(text: str, guests: int) -> None:
    assert need_numbers(text, 80)["gluten"].guests == guests


def test_all_who_come_are_not_those_with_the_need() -> None:
    assert need_numbers("80 guests in total, two more coeliacs", 80)["gluten"].more
    assert need_numbers("2 coeliac, 10 in total", 80)["gluten"].guests is None
    assert need_numbers("Two coeliacs, the cake is now 3 tiers", 80)["gluten"].guests == 2


def test_the_least_of_a_changed_number_is_the_greater_one_beside_the_need() -> None:
    text = "The two nut guests are now four, and Ode swells up after sesame"
    assert least_needs_in(text, 80) == {"tree-nuts": 4, "sesame": 1}


@pytest.mark.parametrize(
    "text",
    [
        "Ode swells up after nuts and the two who cannot have citrus are now four",
        "there are now four who can't have nuts, Ode swells up after sesame",
        "2 guests cannot have nuts or eggs, 1 cannot have milk",
    ],
)
def test_words_of_a_sentence_are_no_food(text: str) -> None:
    assert {code for code in needs_named(text, 80) if code.startswith("other:")} <= {"other:citrus"}
