"""The part of a Book that says what products consist of and how they are made, without what is paid or charged."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Final

from costing.contract import Book, CostingError, Product, Recipe

#: Parts of a Book that neither cooling nor allergens are judged by; errors in them stop prices alone.
_PRICING: Final = frozenset({"roles", "taxes", "overhead", "delivery", "price_rules", "currency"})
_PROFILE: Final = "profile"


def judged_by(error: CostingError) -> bool:
    """Return whether cooling or allergens are judged by what an error is about."""
    keys = error.at.partition("#")[2].split("/")[1:]
    if keys[:1] == ["kitchen"]:
        return _PROFILE in keys
    return not keys or (keys[0] not in _PRICING and keys[-1] != "tax")


def unpriced_part(book: Book, codes: frozenset[str]) -> Book:
    """Return these products with everything in and around them, without packs, prices and rules of pricing.

    A product that is not in the Book is left out; a recipe or ingredient that is missing stays missing.
    """
    products = [product for product in book.products if product.code in codes]
    recipes = _recipes_in(products, {recipe.code: recipe for recipe in book.recipes})
    goods = {line.ingredient for recipe in recipes.values() for line in recipe.lines if line.ingredient is not None}
    goods |= {item.ingredient for product in products for item in product.packaging}
    return replace(
        book,
        overhead=None,
        delivery=None,
        price_rules=(),
        monthly_costs=(),
        suppliers=(),
        stations=tuple(replace(station, hourly=Fraction(0)) for station in book.stations),
        ingredients=tuple(replace(one, packs=()) for one in book.ingredients if one.code in goods),
        recipes=tuple(recipe for recipe in book.recipes if recipe.code in recipes),
        products=tuple(replace(product, list_price=None) for product in products),
    )


def _recipes_in(products: list[Product], known: dict[str, Recipe]) -> dict[str, Recipe]:
    found: dict[str, Recipe] = {}
    left = [fill.recipe for product in products for fill in product.fill]
    while left:
        code = left.pop()
        if code in known and code not in found:
            found[code] = known[code]
            left += _inside(known[code])
    return found


def _inside(recipe: Recipe) -> Iterator[str]:
    return (line.recipe for line in recipe.lines if line.recipe is not None)
