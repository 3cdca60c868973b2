"""A need that no list has: its code, its names, and what it is in; nothing is ever free of it."""

import pytest

from catalog.pantry.allergens import covered, is_need, need_name
from catalog.pantry.declarations import (
    Declaration,
    NeedAnswer,
    Serves,
    answer_to,
    called,
    declared,
    declared_of,
    together,
)
from catalog.pantry.note_needs import need_called
from catalog.pantry.other_needs import LONGEST, names_with, other_code, other_words
from catalog.pantry.presenters import allergen_words, need_words
from costing.contract import Ingredient


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Kiwi", "kiwi"),
        ("  corn. ", "corn"),
        ("No corn", "corn"),
        ("no no corn", "corn"),
        ("Corn-free", "corn"),
        ("kiwi allergy", "kiwi"),
        ("E120", "E120"),
        ("Red 40", "red 40"),
        ("Straw\u00adberries", "strawberries"),
        ("<b>kiwi|x</b>", "<b>kiwi|x</b>"),
        ("Käsepappel; 'x'", "käsepappel; 'x"),
        ("키위", "키위"),
    ],
)
def test_words_become_a_code_that_gives_them_back(words: str, name: str) -> None:
    code = other_code(words)
    assert need_name(code) == name
    assert code.isascii()
    assert not set(code) & set(" |<>'\"")
    assert is_need(code)
    assert other_code(other_words(code)) == code


@pytest.mark.parametrize("words", ["", "  ", "🥝", "12", "...", "\u200b"])
def test_what_has_no_words_is_no_need(words: str) -> None:
    assert other_code(words) == ""


def test_it_has_so_many_characters_at_most() -> None:
    assert len(need_name(other_code("kiwi" * 200))) == LONGEST


@pytest.mark.parametrize("code", ["other:", "other:Kiwi", "other:kiwi|Puree", "other:%20kiwi", "kiwi"])
def test_a_code_that_nothing_makes_is_no_need(code: str) -> None:
    assert not is_need(code)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("kiwi", "Kiwi fruit"),
        ("kiwis", "kiwi"),
        ("kiwi (severe)", "kiwi"),
        ("strawberry", "Erdbeeren"),
        ("rhubarb", "Rhubarb"),
        ("figs", "fig"),
    ],
)
def test_spellings_of_one_need_are_one(one: str, other: str) -> None:
    assert covered(other_code(one)) == covered(other_code(other))


def test_others_are_others() -> None:
    names = ["apple", "pineapple", "corn", "corn syrup", "pea", "peach", "lemon", "lemon balm"]
    assert len({covered(other_code(name)) for name in names}) == len(names)


@pytest.mark.parametrize(
    ("need", "text"),
    [
        ("kiwi", "Kiwi puree"),
        ("kiwi", "Kiwipüree"),
        ("corn", "Cornstarch"),
        ("strawberries", "Erdbeermark"),
        ("nightshades", "Smoked paprika"),
        ("citrus", "Lemon juice"),
        ("tamarind", "Tamarind paste"),
        ("dragon fruit", "Dragonfruit puree"),
        ("dragon fruit", "Fruit of the red dragon"),
        ("carrageenan", "Cream\nCream, carrageenan, sugar"),
    ],
)
def test_it_is_in_what_names_it(need: str, text: str) -> None:
    assert names_with(other_code(need), [("A name", text)])


@pytest.mark.parametrize(
    ("need", "text"),
    [
        ("kiwi", "Sugar"),
        ("corn", "Corn-free baking powder"),
        ("corn", "Baking powder without corn"),
        ("pear", "Pearl sugar"),
        ("pea", "Peach puree"),
        ("banana", "Ananas"),
        ("pineapple", "Bananas"),
        ("🥝", "Kiwi"),
    ],
)
def test_it_is_not_in_what_does_not(need: str, text: str) -> None:
    assert not names_with(other_code(need), [(text, text)])


def test_nothing_is_ever_free_of_it() -> None:
    kiwi = other_code("kiwi")
    sugar = declared_of(Ingredient("sugar", "Sugar", allergen_answers=(("milk", "free"),)), "us")
    assert answer_to(kiwi, sugar, "us").serves == Serves.NOT_CHECKED
    assert answer_to(kiwi, declared([], {}, "us", touches=False), "us").serves == Serves.NOT_CHECKED
    assert answer_to(kiwi, together([], "us"), "us").serves == Serves.NOT_CHECKED


def test_it_is_contained_by_a_name_of_its_own_or_of_what_is_inside() -> None:
    kiwi = other_code("kiwi")
    parts = [declared_of(Ingredient(code, name), "us") for code, name in (("a", "Sugar"), ("b", "Kiwi puree"))]
    answer = answer_to(kiwi, together(parts, "us"), "us")
    assert (answer.serves, allergen_words(answer.codes)) == (Serves.CONTAINS, "kiwi (Kiwi puree)")
    named = answer_to(kiwi, called(together(parts, "us"), "Kiwi tart"), "us")
    assert allergen_words(named.codes) == "kiwi (Kiwi tart; Kiwi puree)"
    assert need_words([kiwi]) == "kiwi"


def test_a_labels_list_of_ingredients_says_it_too() -> None:
    mix = Ingredient("mix", "Fea Zorbella", label_list="Sugar, kiwi, pectin")
    answer = answer_to(other_code("kiwis"), declared_of(mix, "us"), "us")
    assert allergen_words(answer.codes) == "kiwis (Fea Zorbella)"


def test_a_box_is_not_in_it() -> None:
    box = Ingredient("box", "Kiwi box", touches_food=False)
    assert answer_to(other_code("kiwi"), declared_of(box, "us"), "us").serves == Serves.NOT_CHECKED


@pytest.mark.parametrize(
    ("words", "need"),
    [
        *(
            ("peanuts", "peanuts"),
            ("Peanut", "peanuts"),
            ("tree nuts", "tree-nuts"),
            ("dairy", "milk"),
            ("GF", "gluten"),
        ),
        *(("Celery", "celery"), ("vegan", "vegan"), ("butter", ""), ("peanut oil", ""), ("kiwi", ""), ("shrimp", "")),
    ],
)
def test_the_name_of_a_need_that_lists_have(words: str, need: str) -> None:
    assert need_called(words) == need


@pytest.mark.parametrize("words", ["maize (cornstarch too)", "sumac [ground]", "maize (also in icing sugar)"])
def test_own_words_keep_their_brackets(words: str) -> None:
    code = other_code(words)
    assert other_words(code) == words
    assert is_need(code)


@pytest.mark.parametrize(("words", "plain"), [("(kiwi)", "kiwi"), ("maize (cornstarch", "maize (cornstarch)")])
def test_a_bracket_around_all_or_left_open_is_settled(words: str, plain: str) -> None:
    assert other_words(other_code(words)) == plain
    assert other_code(plain) == other_code(words)


@pytest.mark.parametrize("name", ["Cornstarch", "Maize meal", "Cornstarch, fine"])
def test_words_with_a_bracket_are_found_by_each_part(name: str) -> None:
    need = other_code("maize (cornstarch too)")
    assert names_with(need, [(name, name)])
    assert names_with(other_code("sumac (zatarra too)"), [("Zatarra mix", "Zatarra mix")])
    assert not names_with(need, [("Sugar", "Sugar"), ("Tooty fruits", "Tooty fruits")])


def test_the_name_of_a_recipe_is_never_given_as_what_something_is_in() -> None:
    need = other_code("coconut")
    found = called(declared([], {}, "us"), "Coconut set cream (no milk, no eggs)", shown=False)
    assert answer_to(need, found, "us").codes == (need,)
    both = called(found, "Coconut milk (canned)")
    assert allergen_words(answer_to(need, both, "us").codes) == "coconut (Coconut milk, canned)"


def made_of(*ingredients: Ingredient) -> Declaration:
    return together([declared_of(one, "us") for one in ingredients], "us")


@pytest.mark.parametrize(
    ("words", "allergen"),
    [
        ("hazelnut oil", "hazelnuts"),
        ("cashew milk", "cashews"),
        ("barley flour", "barley"),
        ("wheat (not spelt)", "wheat"),
        ("milk (baked is fine)", "milk"),
        ("Lupin [seed]", "lupin"),
        ("any nuts, raw", "pecans"),
    ],
)
def test_own_words_that_name_an_allergen_count_by_the_answers_too(words: str, allergen: str) -> None:
    need = other_code(words)
    with_it = made_of(Ingredient("a", "Plain mixture", allergens=(allergen,)), Ingredient("b", "Sugar"))
    assert answer_to(need, with_it, "us") == NeedAnswer(Serves.CONTAINS, (allergen,))
    traces = made_of(Ingredient("a", "Plain mixture", allergen_answers=((allergen, "may"),)))
    assert answer_to(need, traces, "us") == NeedAnswer(Serves.MAY_CONTAIN, (allergen,))
    free = made_of(Ingredient("a", "Plain mixture", allergen_answers=((allergen, "free"),)))
    assert answer_to(need, free, "us") == NeedAnswer(Serves.NOT_CHECKED, (need,))


def test_what_own_words_say_that_it_is_not_does_not_count() -> None:
    need, sesame = other_code("sunflower (no sesame)"), Ingredient("a", "Plain mixture", allergens=("sesame",))
    assert answer_to(need, made_of(sesame), "us").serves == Serves.NOT_CHECKED


@pytest.mark.parametrize(
    ("need", "text"),
    [
        ("wheat (not spelt)", "Buckwheat flour"),
        ("grape (red)", "Grapefruit juice"),
        ("pepper (black)", "Peppermint"),
        ("apple (raw)", "Pineapple"),
        ("lemon (zest)", "Lemongrass"),
        ("mango (fresh)", "Mangosteen"),
    ],
)
def test_a_food_inside_the_name_of_another_is_not_it(need: str, text: str) -> None:
    assert not names_with(other_code(need), [(text, text)])
