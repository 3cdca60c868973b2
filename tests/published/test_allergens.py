"""The allergens each legal list counts, against the two laws' own lists.

United States: 21 USC 321(qq)(1) as amended by Pub. L. 117-11 section 2 (the FASTER Act: sesame); which nuts are tree
nuts: FDA, Questions and Answers Regarding Food Allergens, edition 5 (January 2025), table 1, with pine nut and without
coconut. European Union: Regulation (EU) 1169/2011, Annex II; its nuts are eight, and pine nut is none of them.
Both were read in stored copies, in part in excerpts.
"""

import pytest

from catalog.kitchen.models import Kitchen
from catalog.pantry.allergens import ALLERGENS, EU, US, allergen_choices, allergen_name

#: What the law counts, and the codes that together are it.
NINE = {
    "milk": {"milk"},
    "egg": {"eggs"},
    "fish": {"fish"},
    "Crustacean shellfish": {"crustaceans"},
    "tree nuts": {"tree-nuts", "pine-nuts"},
    "wheat": {"wheat"},
    "peanuts": {"peanuts"},
    "soybeans": {"soybeans"},
    "sesame": {"sesame"},
}
FOURTEEN = {
    "cereals containing gluten (wheat, rye, barley, oats)": {"wheat", "gluten"},
    "crustaceans": {"crustaceans"},
    "eggs": {"eggs"},
    "fish": {"fish"},
    "peanuts": {"peanuts"},
    "soybeans": {"soybeans"},
    "milk (including lactose)": {"milk"},
    "nuts": {"tree-nuts"},
    "celery": {"celery"},
    "mustard": {"mustard"},
    "sesame seeds": {"sesame"},
    "sulphur dioxide and sulphites": {"sulphites"},
    "lupin": {"lupin"},
    "molluscs": {"molluscs"},
}
#: The word by which people know what a code means.
WORDS = {
    "milk": "milk",
    "eggs": "eggs",
    "wheat": "wheat",
    "gluten": "rye, barley or oats",
    "tree-nuts": "tree nuts",
    "pine-nuts": "pine nuts",
    "peanuts": "peanuts",
    "soybeans": "soybeans",
    "sesame": "sesame",
    "fish": "fish",
    "crustaceans": "crustaceans",
    "molluscs": "molluscs",
    "celery": "celery",
    "mustard": "mustard",
    "sulphites": "sulphur dioxide and sulphites",
    "lupin": "lupin",
}


# A kitchen stores its list as "us" or "eu": here these texts, so that a list under the other's name is noticed.
@pytest.mark.parametrize(("which", "law", "count"), [("us", NINE, 9), ("eu", FOURTEEN, 14)])
def test_a_list_counts_what_its_law_counts_and_nothing_else(which: str, law: dict[str, set[str]], count: int) -> None:
    assert len(law) == count
    asked = [code for code, _ in allergen_choices(which)]
    assert sorted(asked) == sorted(code for codes in law.values() for code in codes)
    assert [allergen.code for allergen in ALLERGENS if which in allergen.lists] == asked


def test_a_kitchen_names_the_list_of_the_place_it_says() -> None:
    places = {code: str(place).partition(":")[0] for code, place in Kitchen.Allergens.choices}
    assert places == {"us": "United States", "eu": "European Union"} == {US: "United States", EU: "European Union"}


def test_every_allergen_is_in_a_list() -> None:
    assert {allergen.code for allergen in ALLERGENS} == set().union(*NINE.values(), *FOURTEEN.values())


@pytest.mark.parametrize("code", WORDS)
def test_a_code_is_called_by_the_name_of_its_food(code: str) -> None:
    assert allergen_name(code).startswith(WORDS[code])
    assert (code, allergen_name(code)) in allergen_choices(US) + allergen_choices(EU)


def test_there_is_a_word_for_each_code() -> None:
    assert set(WORDS) == {allergen.code for allergen in ALLERGENS}
