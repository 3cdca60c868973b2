"""Checking what changed since a sound Book finds the errors that checking the whole Book finds."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

from costing import read_book
from costing.contract import Book, InputErrors, check_book
from costing.contract.changed_part import changed_part
from costing.measures.measure import parse_measure
from tests.contract.kitchens import any_book
from tests.each import each


def errors(book: Book, sound: Book | None) -> tuple[Any, ...]:
    try:
        check_book(book, sound)
    except InputErrors as found:
        return found.errors
    return ()


def with_one(book: Book, kind: str, rng: Random, **values: Any) -> Book:
    """Return the Book with one record replaced, removed or put twice."""
    items = list(getattr(book, kind))
    if not items:
        return book
    at = rng.randrange(len(items))
    if not values:
        items[at : at + 1] = rng.choice(([], [items[at], items[at]]))
    else:
        items[at] = replace(items[at], **values)
    return replace(book, **{kind: tuple(items)})


def changed(book: Book, rng: Random) -> Book:
    recipe = rng.choice(book.recipes)
    looped = tuple(replace(line, ingredient=None, part=None, recipe=recipe.code) for line in recipe.lines[:1])
    kind, values = rng.choice(
        [
            ("ingredients", {}),
            ("ingredients", {"density": None, "grams_each": None}),
            ("ingredients", {"parts": ()}),
            ("ingredients", {"base": "each"}),
            ("ingredients", {"note": "dry", "yield_": Fraction(rng.choice([1, 2]))}),
            ("recipes", {}),
            ("recipes", {"loss": Fraction(rng.choice([0, 1]))}),
            ("recipes", {"lines": looped}),
            ("recipes", {"batch_limit": parse_measure(rng.choice(["1 kg", "1 cup"]))}),
            ("products", {}),
            ("products", {"servings": rng.choice([0, 4])}),
            ("products", {"tax": rng.choice(["food", "none"])}),
            ("roles", {}),
            ("taxes", {"code": "other"}),
            ("price_rules", {"product": rng.choice(["item-0", "nothing"])}),
        ]
    )
    return with_one(book, kind, rng, **values)


@each("seed", range(25))
def test_any_change_is_found_as_if_all_was_checked(seed: int) -> None:
    rng = Random(seed)
    sound = read_book(any_book(seed))
    for _ in range(12):
        book = changed(sound, rng)
        assert errors(book, sound) == errors(book, None)
        again = changed(book, rng) if book.recipes else book
        assert errors(again, sound) == errors(again, None)


def test_one_changed_ingredient_is_checked_with_the_recipes_it_goes_into() -> None:
    sound = read_book(any_book(1))
    line = next(line for recipe in sound.recipes for line in recipe.lines if line.ingredient)
    items = tuple(replace(one, note="dry") if one.code == line.ingredient else one for one in sound.ingredients)
    part = changed_part(replace(sound, ingredients=items), sound)
    assert part is not None
    users = {recipe.code for recipe in sound.recipes if line.ingredient in {each.ingredient for each in recipe.lines}}
    assert users <= {recipe.code for recipe in part.recipes}
