"""What a product declares: its ingredients and packaging together, and raw egg by what its steps do."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from catalog.pantry.declarations import FREE, Serves, questions
from catalog.products.claims import unproven_claims
from catalog.products.declarations import BookDeclarations, declarations_of
from catalog.products.presenters import claim_sentence
from costing.contract import Book, read_whole_book
from tests.small_kitchen import small_book

ALL_FREE = dict.fromkeys(questions("us"), FREE)


def book_with(steps: dict[str, list[str]], **changes: Any) -> Book:
    """Return a Book with one product of one recipe with egg; ``steps`` are kinds by "recipe" and "product"."""
    document = small_book()
    document["ingredients"] = [
        {"code": "egg", "name": "Eggs", "grams_each": "50", "allergens": ["eggs"], "packs": []},
        {"code": "sugar", "name": "Sugar", "packs": [], "allergen_answers": ALL_FREE},
        {"code": "box", "name": "Box", "base": "each", "packs": []},
    ]
    document["ingredients"][0] |= {"allergen_answers": {code: FREE for code in ALL_FREE if code != "eggs"}}
    document["recipes"] = [
        {
            "code": "foam",
            "name": "Foam",
            "lines": [{"ingredient": "egg", "amount": "6 each"}, {"ingredient": "sugar", "amount": "100 g"}],
            "steps": [_step(kind) for kind in steps.get("recipe", [])],
        }
    ]
    product = {"code": "cup", "name": "Cup", "category": "cups", "servings": 1, "tax": next(iter(document["taxes"]))}
    product["fill"] = [{"recipe": "foam", "amount": "80 g"}]
    product["packaging"] = [{"ingredient": "box", "amount": "1 each"}]
    product["steps"] = [_step(kind) for kind in steps.get("product", [])]
    document["products"] = [product | changes]
    document["price_rules"] = [{"code": "all", "margin": "0.5"}]
    document.pop("moulds", None)
    return read_whole_book(document)


def _step(kind: str) -> dict[str, Any]:
    name, _, at = kind.partition(" ")
    return {"kind": name, "minutes": "20"} | ({"temperature_c": at} if at else {})


@pytest.mark.parametrize(
    ("steps", "raw"),
    [
        ({}, Serves.CONTAINS),
        ({"recipe": ["mix"], "product": ["fill", "chill"]}, Serves.CONTAINS),
        ({"recipe": ["mix", "bake"]}, Serves.FREE),
        ({"recipe": ["mix"], "product": ["fill", "bake", "chill"]}, Serves.FREE),
        # All there is of it was baked, whatever is done with it afterwards.
        ({"recipe": ["mix"], "product": ["bake", "fill", "chill"]}, Serves.FREE),
        ({"recipe": ["cook 82"]}, Serves.FREE),
        ({"recipe": ["cook 60"]}, Serves.NOT_CHECKED),
        ({"recipe": ["cook"]}, Serves.NOT_CHECKED),
        # Boiled sugar poured over whites: what is mixed in later is not cooked by it.
        ({"recipe": ["cook 118", "mix"]}, Serves.NOT_CHECKED),
    ],
)
def test_egg_is_raw_unless_a_step_bakes_or_cooks_it(steps: dict[str, list[str]], raw: Serves) -> None:
    found = BookDeclarations(book_with(steps, packaging=[]))
    assert found.answer("cup", "no-raw-egg").serves == raw


def with_cream(product: list[str], takes: dict[int, list[str]]) -> BookDeclarations:
    """Return the declarations of a baked cup with a cream of raw egg; ``takes`` says which step takes what."""
    book = book_with({"recipe": ["mix"], "product": product}, packaging=[])
    cream = replace(book.recipes[0], code="cream", name="Cream", steps=())
    cup = book.products[0]
    steps = tuple(replace(step, takes=tuple(takes.get(at, ()))) for at, step in enumerate(cup.steps))
    fill = (*cup.fill, replace(cup.fill[0], recipe="cream"))
    return BookDeclarations(
        replace(book, recipes=(*book.recipes, cream), products=(replace(cup, fill=fill, steps=steps),))
    )


@pytest.mark.parametrize("kind", ["finish", "fill", "work", "prepare"])
def test_what_a_step_takes_after_the_bake_is_not_baked_by_it(kind: str) -> None:
    steps = ["fill", "bake", "chill", kind, "chill"]
    assert with_cream(steps, {3: ["cream"]}).answer("cup", "no-raw-egg").serves == Serves.CONTAINS
    # Where no step says what it takes, it may be so.
    assert with_cream(steps, {}).answer("cup", "no-raw-egg").serves == Serves.NOT_CHECKED
    # What goes in before the bake is baked.
    assert with_cream(steps, {0: ["cream"]}).answer("cup", "no-raw-egg").serves == Serves.FREE


def test_an_ingredient_nobody_checked_for_egg_leaves_raw_egg_open() -> None:
    book = book_with({}, packaging=[])
    sugar = replace(book.ingredients[1], allergen_answers=())
    egg = replace(book.ingredients[0], allergens=(), allergen_answers=tuple(sorted(ALL_FREE.items())))
    found = BookDeclarations(replace(book, ingredients=(egg, sugar, book.ingredients[2])))
    assert found.answer("cup", "no-raw-egg").serves == Serves.NOT_CHECKED


def test_what_is_in_a_recipe_touches_the_food_whatever_was_ticked() -> None:
    book = book_with({}, packaging=[])
    spread = replace(book.ingredients[1], allergen_answers=(), touches_food=False)
    found = BookDeclarations(replace(book, ingredients=(book.ingredients[0], spread, book.ingredients[2])))
    assert found.answer("cup", "walnuts").serves == Serves.NOT_CHECKED


def test_pasteurized_egg_is_not_raw() -> None:
    document = book_with({}, packaging=[])
    egg = document.ingredients[0]
    assert egg.grams_each == Fraction(50)
    answered = {**dict(egg.allergen_answers), "raw-egg": FREE}
    pasteurized = replace(egg, allergen_answers=tuple(sorted(answered.items())))
    book = replace(document, ingredients=(pasteurized, *document.ingredients[1:]))
    assert BookDeclarations(book).answer("cup", "no-raw-egg").serves == Serves.FREE


def test_a_box_nobody_answered_for_leaves_the_question_open_and_is_named() -> None:
    found = BookDeclarations(book_with({}))
    assert found.of("cup").allergens == ("eggs",)
    assert found.answer("cup", "walnuts").serves == Serves.NOT_CHECKED
    (open_one,) = found.open_questions("cup")
    assert open_one.name == "Box"
    assert "walnuts" in open_one.codes
    # What is known of another part is no open question any more.
    assert "eggs" not in open_one.codes


def test_a_product_without_anything_to_eat_in_it_was_not_checked_for_anything() -> None:
    found = BookDeclarations(book_with({}, fill=[], packaging=[]))
    assert found.of("cup").nothing
    assert found.answer("cup", "milk").serves == Serves.NOT_CHECKED


def test_a_recipe_without_ingredients_leaves_every_question_open() -> None:
    book = book_with({}, packaging=[])
    glaze = replace(book.recipes[0], code="glaze", name="Bought glaze", lines=())
    product = replace(
        book.products[0], fill=(*book.products[0].fill, replace(book.products[0].fill[0], recipe="glaze"))
    )
    found = BookDeclarations(replace(book, recipes=(*book.recipes, glaze), products=(product,)))
    assert found.of("cup").allergens == ("eggs",)
    assert found.answer("cup", "walnuts").serves == Serves.NOT_CHECKED
    assert list(found.serving("walnuts")) == []


def test_products_that_serve_a_need_are_those_free_of_it() -> None:
    book = book_with({}, packaging=[])
    found = declarations_of(book)
    assert [product.code for product in found.serving("walnuts")] == ["cup"]
    assert list(found.serving("eggs")) == []
    assert declarations_of(book) is found


@pytest.mark.parametrize(
    ("name", "claims"),
    [
        ("Cup, no eggs", ["no eggs"]),
        ("Egg-free cup", ["Egg-free"]),
        ("Vegan cup without egg", ["Vegan", "without egg"]),
        ("Cup without nuts", []),
        ("Cup of no regrets", []),
        ("Free of gluten, no milk", []),
    ],
)
def test_a_name_that_promises_what_the_ingredients_do_not_bear_out_is_found(name: str, claims: list[str]) -> None:
    book = book_with({}, packaging=[])
    product = replace(book.products[0], name=name)
    found = BookDeclarations(replace(book, products=(product,)))
    assert [claim.words for claim in unproven_claims(product, found)] == claims


def test_a_claim_nobody_checked_is_found_in_the_description() -> None:
    book = book_with({}, description="A cup, dairy free.")
    (claim,) = unproven_claims(book.products[0], BookDeclarations(book))
    assert (claim.words, claim.answer.serves) == ("dairy free", Serves.NOT_CHECKED)
    assert claim_sentence(claim) == (
        "Cup is described with “dairy free”, but not every ingredient is checked for that."
    )


@pytest.mark.parametrize(("name", "claimed"), [("Foam (no eggs)", True), ("Foam (no milk)", False), ("Foam", False)])
def test_a_recipe_is_held_to_what_its_name_claims(name: str, claimed: bool) -> None:
    document = book_with({})
    recipe = replace(document.recipes[0], name=name)
    book = replace(document, recipes=(recipe,))
    found = list(unproven_claims(book.products[0], declarations_of(book)))
    assert [(one.name, one.untrue) for one in found] == ([(name, True)] if claimed else [])
