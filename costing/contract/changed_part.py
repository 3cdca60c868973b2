"""The part of a Book in which errors can be, when an earlier Book was sound."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from costing.contract.book import Book, Product, Recipe

_NAMED = ("ingredients", "recipes", "products")


def changed_part(book: Book, sound: Book) -> Book | None:
    """Return a smaller Book that has errors exactly when the whole Book has.

    A record that is the same object as in the sound Book was checked there. It is checked again only if something it
    refers to changed or is gone. What records to check refer to is part of the smaller Book, recipes with all that is
    below them, because a new loop goes through a changed recipe. Records that are few (roles, taxes, price rules, the
    kitchen) always are. The places of errors differ, so whoever finds one checks the whole Book.

    Parameters
    ----------
    book : Book
        Any Book.
    sound : Book
        A Book without errors; the two share the records that did not change.

    Returns
    -------
    Book or None
        None when the whole Book has to be checked.
    """
    if _surroundings(book) != _surroundings(sound) or any(_twice(getattr(book, kind)) for kind in _NAMED):
        return None
    changed = {kind: _changed(getattr(book, kind), getattr(sound, kind)) for kind in _NAMED}
    goods, gone = changed["ingredients"], changed["recipes"] - {recipe.code for recipe in book.recipes}
    recipes = _recipes_to_check(book, changed["recipes"], goods, gone)
    products = _products_to_check(book, changed["products"], goods, gone)
    below = _below(book, recipes | {fill.recipe for product in products for fill in product.fill})
    used = {line.ingredient for recipe in below for line in recipe.lines}
    used |= {item.ingredient for product in products for item in product.packaging} | goods
    goods_used = tuple(item for item in book.ingredients if item.code in used)
    return replace(book, ingredients=goods_used, recipes=tuple(below), products=products)


def _recipes_to_check(book: Book, changed: set[str], goods: set[str], gone: set[str]) -> set[str]:
    """Return the codes of recipes that changed, or that name something that did or is gone."""
    return {
        recipe.code
        for recipe in book.recipes
        if recipe.code in changed or any(line.ingredient in goods or line.recipe in gone for line in recipe.lines)
    }


def _products_to_check(book: Book, changed: set[str], goods: set[str], gone: set[str]) -> tuple[Product, ...]:
    """Return the products that changed, that name something that did or is gone, or that a price rule names."""
    ruled = {rule.product for rule in book.price_rules}
    return tuple(
        product
        for product in book.products
        if product.code in changed
        or product.code in ruled
        or any(fill.recipe in gone for fill in product.fill)
        or any(item.ingredient in goods for item in product.packaging)
    )


def _surroundings(book: Book) -> tuple[Any, ...]:
    """Return what products and recipes refer to besides each other, and the currency of their prices."""
    return book.currency, *({item.code for item in items} for items in (book.roles, book.stations, book.taxes))


def _twice(items: tuple[Any, ...]) -> bool:
    return len({item.code for item in items}) < len(items)


def _changed(items: tuple[Any, ...], before: tuple[Any, ...]) -> set[str]:
    """Return the codes of records that are new, not the same object any more, or gone."""
    known = {item.code: item for item in before}
    return {item.code for item in items if known.pop(item.code, None) is not item} | known.keys()


def _below(book: Book, codes: Iterable[str]) -> list[Recipe]:
    """Return recipes with all recipes they use, as far as they exist, in the order of the Book."""
    by_code = {recipe.code: recipe for recipe in book.recipes}
    found: set[str] = set()
    waiting = list(codes)
    while waiting:
        code = waiting.pop()
        if code in by_code and code not in found:
            found.add(code)
            waiting += [line.recipe for line in by_code[code].lines if line.recipe is not None]
    return [recipe for recipe in book.recipes if recipe.code in found]
