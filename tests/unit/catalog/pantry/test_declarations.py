"""What is in something made of ingredients: an answer nobody gave is never "free"."""

import pytest

from catalog.pantry.allergens import ANZ, CA, EU, US
from catalog.pantry.declarations import (
    FREE,
    MAY,
    Declaration,
    NeedAnswer,
    Serves,
    answer_to,
    declared,
    declared_of,
    questions,
    together,
)
from costing.contract import Ingredient

LISTS = (US, EU, ANZ, CA)
SUGAR = dict.fromkeys(questions(US) | questions(EU), FREE)


def serves(need: str, found: Declaration, which: str = US) -> Serves:
    return answer_to(need, found, which).serves


@pytest.mark.parametrize("which", LISTS)
def test_an_ingredient_of_earlier_days_was_not_checked_for_what_it_does_not_contain(which: str) -> None:
    found = declared(["milk"], {}, which)
    assert found.allergens == ("milk",)
    assert set(found.unchecked) == questions(which) - {"milk"} | {"raw-egg"}
    for need in ("eggs", "gluten", "tree-nuts", "walnuts", "vegan", "no-alcohol"):
        assert serves(need, found, which) in (Serves.NOT_CHECKED, Serves.CONTAINS)


@pytest.mark.parametrize("which", LISTS)
@pytest.mark.parametrize("cereal", ["wheat", "rye", "barley", "oats", "gluten"])
def test_somebody_with_coeliac_disease_is_warned_of_every_cereal(which: str, cereal: str) -> None:
    found = declared([cereal], {code: FREE for code in SUGAR if code != cereal}, which)
    assert answer_to("gluten", found, which).serves == Serves.CONTAINS
    assert answer_to("gluten", found, which).codes == (cereal,)


def test_free_is_only_what_every_cereal_was_checked_for() -> None:
    answers = {code: FREE for code in SUGAR if code != "oats"}
    assert answer_to("gluten", declared([], answers, US), US).codes == ("oats",)
    assert serves("gluten", declared([], answers | {"oats": FREE}, US)) == Serves.FREE
    assert serves("gluten", declared([], answers | {"oats": MAY}, US)) == Serves.MAY_CONTAIN


def test_an_answer_for_a_whole_group_answers_for_all_in_it() -> None:
    found = declared([], {"tree-nuts": FREE}, US)
    assert serves("heartnuts", found) == serves("tree-nuts", found) == Serves.FREE
    # A nut nobody named may be any of them, whatever was said of one.
    assert serves("almonds", declared(["tree-nuts"], {"almonds": FREE}, US)) == Serves.CONTAINS


def test_what_is_contained_in_one_part_is_contained_and_free_is_what_all_are_free_of() -> None:
    butter, sugar = declared(["milk"], {"eggs": FREE}, US), declared([], SUGAR, US)
    both = together([butter, sugar], US)
    assert both.allergens == ("milk",)
    assert "eggs" in both.free
    assert "soybeans" in both.unchecked
    assert serves("soybeans", both) == Serves.NOT_CHECKED


def test_nothing_entered_is_free_of_nothing() -> None:
    nothing = together([], US)
    assert nothing.nothing
    assert nothing.unchecked == questions(US) | {"raw-egg"}
    assert serves("milk", nothing) == serves("vegetarian", nothing) == Serves.NOT_CHECKED


def test_what_never_touches_the_food_is_not_asked_further_but_what_it_contains_counts() -> None:
    ribbon = declared([], {}, US, touches=False)
    assert not ribbon.unchecked
    assert serves("tree-nuts", ribbon) == Serves.FREE
    assert serves("wheat", declared(["wheat"], {}, US, touches=False)) == Serves.CONTAINS


def test_a_need_that_the_kitchens_list_does_not_ask_for_is_not_free_unanswered() -> None:
    sugar = declared([], dict.fromkeys(questions(US), FREE), US)
    assert serves("celery", sugar) == serves("lupin", sugar) == Serves.NOT_CHECKED
    assert serves("celery", declared([], SUGAR, US)) == Serves.FREE


def test_traces_count_for_allergies_and_not_for_diets() -> None:
    found = declared([], SUGAR | {"milk": MAY}, US)
    assert serves("milk", found) == Serves.MAY_CONTAIN
    assert serves("vegan", found) == Serves.FREE


@pytest.mark.parametrize(
    ("contained", "answers", "vegetarian", "vegan"),
    [
        ([], {}, Serves.FREE, Serves.FREE),
        (["milk"], {}, Serves.FREE, Serves.CONTAINS),
        (["fish"], {}, Serves.CONTAINS, Serves.CONTAINS),
        ([], {"gelatin": "contains"}, Serves.CONTAINS, Serves.CONTAINS),
        ([], {"meat": "contains"}, Serves.CONTAINS, Serves.CONTAINS),
        ([], {"other-animal": "contains"}, Serves.FREE, Serves.CONTAINS),
        ([], {"gelatin": ""}, Serves.NOT_CHECKED, Serves.NOT_CHECKED),
        ([], {"other-animal": ""}, Serves.FREE, Serves.NOT_CHECKED),
    ],
)
def test_diets_follow_from_the_answers(
    contained: list[str], answers: dict[str, str], vegetarian: Serves, vegan: Serves
) -> None:
    found = declared(contained, {code: answer for code, answer in (SUGAR | answers).items() if answer}, US)
    assert (serves("vegetarian", found), serves("vegan", found)) == (vegetarian, vegan)


def test_egg_counts_as_raw_until_it_is_said_to_be_pasteurized() -> None:
    assert "raw-egg" in declared(["eggs"], {}, US).contains
    assert "raw-egg" in declared(["eggs"], {"raw-egg": FREE}, US).free
    assert "raw-egg" in declared(["milk"], {"eggs": FREE}, US).free
    # Where nobody checked for egg, nobody knows of raw egg.
    assert "raw-egg" in declared(["milk"], {}, US).unchecked
    assert serves("no-raw-egg", declared([], {}, US)) == Serves.NOT_CHECKED
    assert serves("no-raw-egg", declared([], {"eggs": MAY}, US)) == Serves.FREE


@pytest.mark.parametrize(
    ("name", "need"),
    [
        *(("Lupin flour", "lupin"), ("Lupinenmehl", "lupin"), ("Farine de lupin", "lupin")),
        *(("Mustard seed", "mustard"), ("Senfsaat", "mustard"), ("Graines de moutarde", "mustard")),
        *(("Celery salt", "celery"), ("Selleriesalz", "celery"), ("Sel de c\u00e9leri", "celery")),
        *(("Oyster sauce", "molluscs"), ("Sulphured apricots", "sulphites")),
    ],
)
def test_a_name_says_what_the_list_never_asks_for(name: str, need: str) -> None:
    free = tuple((code, FREE) for code in questions(US))
    found = declared_of(Ingredient("it", name, allergen_answers=free), US)
    assert answer_to(need, found, US) == NeedAnswer(Serves.CONTAINS, (need,))
    plain = declared_of(Ingredient("sugar", "Sugar", allergen_answers=free), US)
    assert serves(need, together([found, plain], US)) == Serves.CONTAINS
    assert serves(need, plain) == Serves.NOT_CHECKED
    answered = declared_of(Ingredient("it", name, allergen_answers=(*free, (need, FREE))), US)
    assert serves(need, answered) == Serves.FREE


def test_a_nut_that_the_law_does_not_list_is_none_free_of_nuts() -> None:
    free = tuple((code, FREE) for code in questions(EU))
    for name, expected in (("Pine nuts", Serves.CONTAINS), ("Pinienkerne", Serves.CONTAINS), ("Sugar", Serves.FREE)):
        assert serves("tree-nuts", declared_of(Ingredient("it", name, allergen_answers=free), EU), EU) == expected


@pytest.mark.parametrize(
    "name", ["Celery-free stock", "Stock without celery", "Br\u00fche ohne Sellerie", "Selleriefreie Br\u00fche"]
)
def test_a_name_that_says_it_is_not_in_it_is_none(name: str) -> None:
    assert serves("celery", declared_of(Ingredient("it", name), US)) == Serves.NOT_CHECKED


def test_a_labels_list_of_ingredients_says_it_too() -> None:
    found = declared_of(Ingredient("it", "Fea Zorbella", label_list="sugar, lupin flour"), US)
    assert serves("lupin", found) == Serves.CONTAINS
