"""The allergens each legal list counts, against the two laws' own lists.

United States: 21 USC 321(qq)(1) as amended by Pub. L. 117-11 section 2 (the FASTER Act: sesame); which nuts are tree
nuts: FDA, Questions and Answers Regarding Food Allergens, edition 5 (January 2025), table 1, with pine nut and without
coconut. European Union: Regulation (EU) 1169/2011, Annex II; its nuts are eight, and pine nut is none of them. The
type of nut and the cereal are named: 21 USC 343(w)(2), Art. 21(1)(a).
Australia and New Zealand: Food Standards Code, Schedule 9, S9-3, as reproduced with the English names on a page about
food law. Canada: Food and Drug Regulations, B.01.010.1(1), Justice Laws, with gluten sources and added sulphites.
All were read in stored copies, in part in excerpts.
"""

import pytest

from catalog.kitchen.models import Kitchen
from catalog.pantry.allergens import (
    ALLERGENS,
    ANZ,
    CA,
    EU,
    NAMED_BY_SPECIES,
    US,
    Allergen,
    allergen_choices,
    allergen_name,
    covered,
    need_choices,
)
from catalog.pantry.diets import DIETS
from tests.each import each

#: What the law counts, and the codes that together are it.
NINE = {
    "milk": {"milk"},
    "egg": {"eggs"},
    "fish": {"fish"},
    "Crustacean shellfish": {"crustaceans"},
    "tree nuts": {
        *("almonds", "black-walnuts", "brazil-nuts", "california-walnuts", "cashews", "hazelnuts"),
        *("heartnuts", "macadamias", "pecans", "pine-nuts", "pistachios", "walnuts"),
    },
    "wheat": {"wheat"},
    "peanuts": {"peanuts"},
    "soybeans": {"soybeans"},
    "sesame": {"sesame"},
}
FOURTEEN = {
    "cereals containing gluten (wheat, rye, barley, oats)": {"wheat", "rye", "barley", "oats"},
    "crustaceans": {"crustaceans"},
    "eggs": {"eggs"},
    "fish": {"fish"},
    "peanuts": {"peanuts"},
    "soybeans": {"soybeans"},
    "milk (including lactose)": {"milk"},
    "nuts": {
        *("almonds", "hazelnuts", "walnuts", "cashews"),
        *("pecans", "brazil-nuts", "pistachios", "macadamias"),
    },
    "celery": {"celery"},
    "mustard": {"mustard"},
    "sesame seeds": {"sesame"},
    "sulphur dioxide and sulphites": {"sulphites"},
    "lupin": {"lupin"},
    "molluscs": {"molluscs"},
}
_NINE_NUTS = {
    *("almonds", "brazil-nuts", "cashews", "hazelnuts", "macadamias", "pecans", "pine-nuts", "pistachios", "walnuts"),
}
#: The names that must be used, each by itself.
SCHEDULE_9 = {
    "barley": {"barley"},
    "oats": {"oats"},
    "rye": {"rye"},
    "wheat": {"wheat"},
    "almond to walnut, nine of them": _NINE_NUTS,
    "crustacean": {"crustaceans"},
    "egg": {"eggs"},
    "fish": {"fish"},
    "lupin": {"lupin"},
    "milk": {"milk"},
    "mollusc": {"molluscs"},
    "peanut": {"peanuts"},
    "sesame": {"sesame"},
    "soy, soya or soybean": {"soybeans"},
    "sulphites": {"sulphites"},
}
CANADA = {
    "nine nuts": _NINE_NUTS,
    "peanuts": {"peanuts"},
    "sesame seeds": {"sesame"},
    "wheat or triticale": {"wheat"},
    "eggs": {"eggs"},
    "milk": {"milk"},
    "soybeans": {"soybeans"},
    "crustaceans": {"crustaceans"},
    "molluscs": {"molluscs"},
    "fish": {"fish"},
    "mustard seeds": {"mustard"},
    "gluten sources: barley, oats, rye": {"barley", "oats", "rye"},
    "added sulphites": {"sulphites"},
}
CEREALS = {"wheat", "rye", "barley", "oats"}


# A kitchen stores its list as such a text: here these texts, so that a list under another's name is noticed.
@pytest.mark.parametrize(
    ("which", "law", "count"), [("us", NINE, 9), ("eu", FOURTEEN, 14), ("anz", SCHEDULE_9, 15), ("ca", CANADA, 13)]
)
def test_a_list_counts_what_its_law_counts_and_nothing_else(which: str, law: dict[str, set[str]], count: int) -> None:
    assert len(law) == count
    counted = {code for codes in law.values() for code in codes}
    assert {allergen.code for allergen in ALLERGENS if which in allergen.lists} == counted
    # Coeliac disease knows no border: every cereal with gluten is asked for under each list.
    assert {code for code, _ in allergen_choices(which)} == counted | CEREALS


def test_the_united_states_name_twelve_nuts_the_european_union_eight_and_the_others_nine() -> None:
    assert (len(NINE["tree nuts"]), len(FOURTEEN["nuts"]), len(_NINE_NUTS)) == (12, 8, 9)
    assert FOURTEEN["nuts"] < _NINE_NUTS < NINE["tree nuts"]
    for which, count in (("us", 12), ("eu", 8), ("anz", 9), ("ca", 9)):
        assert len([one for one in ALLERGENS if one.group == "tree-nuts" and which in one.lists]) == count


def test_the_species_is_named_where_the_law_asks_for_it() -> None:
    # 21 USC 343(w)(2): fish and Crustacean shellfish; B.01.010.1(2): by common name. Elsewhere the group will do.
    assert NAMED_BY_SPECIES == {"us": ("fish", "crustaceans"), "ca": ("fish", "crustaceans", "molluscs")}


@pytest.mark.parametrize("which", [US, EU, ANZ, CA])
def test_guests_may_need_all_nuts_or_one_and_gluten_or_wheat(which: str) -> None:
    needs = dict(need_choices(which))
    assert {"tree-nuts", "almonds", "gluten", "wheat"} <= set(needs)
    assert (needs["gluten"], needs["tree-nuts"]) == ("gluten (celiac)", "tree nuts (all)")
    # What no list names can be no need of a guest, unless it was entered before.
    assert set(needs) <= {code for code, _ in allergen_choices(which)} | {"tree-nuts", "gluten"} | set(DIETS)
    assert ("lupin-flour", "lupin flour") in need_choices(which, ["lupin-flour"])


def test_a_kitchen_names_the_list_of_the_place_it_says() -> None:
    places = {code: str(place).partition(":")[0] for code, place in Kitchen.Allergens.choices}
    assert places == {
        "us": "United States",
        "eu": "European Union and United Kingdom",
        "anz": "Australia and New Zealand",
        "ca": "Canada",
    }
    assert set(places) == {US, EU, ANZ, CA}


def test_every_allergen_is_in_a_list() -> None:
    assert {allergen.code for allergen in ALLERGENS} == set().union(
        *(codes for law in (NINE, FOURTEEN, SCHEDULE_9, CANADA) for codes in law.values())
    )


@each("allergen", ALLERGENS, ids=lambda allergen: allergen.code)
def test_a_code_is_called_by_the_name_of_its_food(allergen: Allergen) -> None:
    first = {"sulphites": "sulphur dioxide and sulphites"}.get(allergen.code, allergen.code.replace("-", " "))
    assert allergen_name(allergen.code).lower().startswith(first)


def test_an_answer_of_earlier_days_says_that_nobody_named_it() -> None:
    assert allergen_name("tree-nuts") == "a tree nut, not named"
    assert allergen_name("gluten") == "a gluten cereal, not named"
    for which in (US, EU, ANZ, CA):
        assert not {"tree-nuts", "gluten"} & set(dict(allergen_choices(which)))
        assert dict(allergen_choices(which, ["tree-nuts"]))["tree-nuts"] == "a tree nut, not named"


@pytest.mark.parametrize("cereal", [*sorted(CEREALS), "gluten"])
def test_who_cannot_eat_gluten_is_given_no_cereal_that_has_it(cereal: str) -> None:
    assert cereal in covered("gluten")


def test_who_cannot_eat_nuts_is_given_none_of_either_list() -> None:
    assert covered("tree-nuts") == NINE["tree nuts"] | FOURTEEN["nuts"] | {"tree-nuts"}


def test_one_nut_is_that_nut_or_one_that_nobody_named() -> None:
    assert covered("hazelnuts") == {"hazelnuts", "tree-nuts"}
    assert covered("wheat") == {"wheat", "gluten"}
    assert covered("walnuts") == {"walnuts", "black-walnuts", "california-walnuts", "heartnuts", "tree-nuts"}
    assert covered("milk") == {"milk"}
