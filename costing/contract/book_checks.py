"""The check of a whole Book: every error in the contract's table, all at once, used or not."""

from __future__ import annotations

import re
from typing import Any

from costing.contract.book import Book
from costing.contract.errors import CostingError, InputErrors, Path
from costing.contract.measure_checks import check_cycles, check_measures
from costing.contract.problems import (
    ABOVE_ZERO,
    MARGIN,
    NOT_NEGATIVE,
    RATE,
    SHARE,
    Problems,
    Ranges,
    as_object,
    as_text,
    check_minor,
    check_numbers,
    entries,
)
from costing.contract.schema import schema_errors
from costing.money.currencies import MINOR_DIGITS

CURRENCY = re.compile("[A-Z]{3}")
KITCHEN: Ranges = {
    "waste": RATE,
    "price_step": ABOVE_ZERO,
    "floor_margin": MARGIN,
    "order_minimum": NOT_NEGATIVE,
    "rush_rate": RATE,
}
OVERHEAD: Ranges = {"per_labour_hour": NOT_NEGATIVE, "per_order": NOT_NEGATIVE}
ROLE: Ranges = {"hourly": NOT_NEGATIVE, "on_cost": RATE}
STATION: Ranges = {"hourly": NOT_NEGATIVE}
DELIVERY: Ranges = {"per_km": NOT_NEGATIVE, "margin": MARGIN}
INGREDIENT: Ranges = {"density": ABOVE_ZERO, "grams_each": ABOVE_ZERO, "yield": SHARE}
PART: Ranges = {"share": SHARE, "density": ABOVE_ZERO, "grams_each": ABOVE_ZERO}
PACK: Ranges = {"price": NOT_NEGATIVE}
RECIPE: Ranges = {"loss": MARGIN}
RECIPE_LABOR: Ranges = {"per_batch": NOT_NEGATIVE, "per_kg": NOT_NEGATIVE}
PRODUCT: Ranges = {
    "servings": ABOVE_ZERO,
    "sale_multiple": ABOVE_ZERO,
    "spare": RATE,
    "load": ABOVE_ZERO,
    "list_price": NOT_NEGATIVE,
}
PRODUCT_LABOR: Ranges = {"per_load": NOT_NEGATIVE, "per_unit": NOT_NEGATIVE}
STATION_TIME: Ranges = {"minutes_per_load": NOT_NEGATIVE}
PRICE_RULE: Ranges = {"margin": MARGIN, "from_units": NOT_NEGATIVE, "minimum": NOT_NEGATIVE}


def book_errors(document: Any) -> list[CostingError]:
    """Find everything wrong with a Book's JSON document.

    Parameters
    ----------
    document : object
        The document as parsed.

    Returns
    -------
    list of CostingError
        In document order, each once; empty when the Book is sound.
    """
    found = Problems("book", document)
    found.found.extend(schema_errors(document, "book"))
    if isinstance(document, dict):
        _check_currency(found, document)
        _check_top(found, document)
        _check_ingredients(found, document)
        _check_recipes(found, document)
        _check_products(found, document)
        _check_price_rules(found, document)
        _check_codes(found, document)
        check_measures(found, document)
        check_cycles(found, document)
    return found.in_order()


def check_book(book: Book) -> None:
    """Check a Book that was built from rows.

    Parameters
    ----------
    book : Book
        Any Book.

    Raises
    ------
    InputErrors
        Everything found wrong, at once.
    """
    # Writing needs the reader's module, which needs this one.
    from costing.contract.book_json import book_to_json

    errors = book_errors(book_to_json(book))
    if errors:
        raise InputErrors(errors)


def _check_currency(found: Problems, document: dict[str, Any]) -> None:
    currency = as_text(document.get("currency"))
    if currency is not None and CURRENCY.fullmatch(currency) and currency not in MINOR_DIGITS:
        found.add(
            "schema",
            ("currency",),
            f"“{currency}” is not a currency of ISO 4217 with a minor unit. Use a code such as EUR or USD.",
        )


def _digits(document: dict[str, Any]) -> int | None:
    return MINOR_DIGITS.get(as_text(document.get("currency")) or "")


def _check_money(found: Problems, item: dict[str, Any], path: Path, keys: tuple[str, ...]) -> None:
    digits = _digits(found.document)
    if digits is not None:
        check_minor(found, item, path, keys, digits)


def _check_top(found: Problems, document: dict[str, Any]) -> None:
    kitchen = as_object(document.get("kitchen"))
    check_numbers(found, kitchen, ("kitchen",), KITCHEN)
    _check_money(found, kitchen, ("kitchen",), ("price_step", "order_minimum"))
    check_numbers(found, as_object(document.get("overhead")), ("overhead",), OVERHEAD)
    for code, role in as_object(document.get("roles")).items():
        check_numbers(found, as_object(role), ("roles", code), ROLE)
    for code, station in as_object(document.get("stations")).items():
        check_numbers(found, as_object(station), ("stations", code), STATION)
    for code, rates in as_object(document.get("taxes")).items():
        _check_rates(found, code, rates)
    delivery = as_object(document.get("delivery"))
    check_numbers(found, delivery, ("delivery",), DELIVERY)
    _check_reference(found, delivery, ("delivery",), "role", "role", _keys(document, "roles"))
    if delivery.get("tax") != "goods":
        _check_reference(found, delivery, ("delivery",), "tax", "tax", _keys(document, "taxes"))


def _check_rates(found: Problems, code: str, rates: Any) -> None:
    begun: set[str] = set()
    for path, rate in entries(rates, ("taxes", code)):
        check_numbers(found, rate, path, {"rate": RATE})
        start = as_text(rate.get("from"))
        if start is not None and start in begun:
            found.add(
                "duplicate_code",
                (*path, "from"),
                f"The tax “{code}” has two rates from {start}. Keep one of them, or change the date.",
            )
        begun.add(start or "")


def _check_ingredients(found: Problems, document: dict[str, Any]) -> None:
    for path, ingredient in entries(document.get("ingredients"), ("ingredients",)):
        check_numbers(found, ingredient, path, INGREDIENT)
        for part_path, part in entries(ingredient.get("parts"), (*path, "parts")):
            check_numbers(found, part, part_path, PART)
        for pack_path, pack in entries(ingredient.get("packs"), (*path, "packs")):
            check_numbers(found, pack, pack_path, PACK)


def _check_recipes(found: Problems, document: dict[str, Any]) -> None:
    ingredients = _parts_by_ingredient(document)
    recipes = _codes(document, "recipes")
    roles = _keys(document, "roles")
    for path, recipe in entries(document.get("recipes"), ("recipes",)):
        check_numbers(found, recipe, path, RECIPE)
        for line_path, line in entries(recipe.get("lines"), (*path, "lines")):
            _check_reference(found, line, line_path, "ingredient", "ingredient", set(ingredients))
            _check_reference(found, line, line_path, "recipe", "recipe", recipes)
            _check_part(found, line, line_path, ingredients)
        for labor_path, labor in entries(recipe.get("labour"), (*path, "labour")):
            check_numbers(found, labor, labor_path, RECIPE_LABOR)
            _check_reference(found, labor, labor_path, "role", "role", roles)


def _check_part(found: Problems, line: dict[str, Any], path: Path, ingredients: dict[str, set[str]]) -> None:
    ingredient, part = as_text(line.get("ingredient")), as_text(line.get("part"))
    if ingredient is None or part is None or ingredient not in ingredients:
        return
    if part not in ingredients[ingredient]:
        known = ", ".join(sorted(ingredients[ingredient])) or "none"
        found.add(
            "unknown_part",
            (*path, "part"),
            f"The ingredient “{ingredient}” has no part “{part}” (its parts: {known}). Use one of them or add it.",
        )


def _check_products(found: Problems, document: dict[str, Any]) -> None:
    ingredients, recipes = _codes(document, "ingredients"), _codes(document, "recipes")
    roles, stations = _keys(document, "roles"), _keys(document, "stations")
    for path, product in entries(document.get("products"), ("products",)):
        check_numbers(found, product, path, PRODUCT)
        _check_money(found, product, path, ("list_price",))
        _check_reference(found, product, path, "tax", "tax", _keys(document, "taxes"))
        for at, fill in entries(product.get("fill"), (*path, "fill")):
            _check_reference(found, fill, at, "recipe", "recipe", recipes)
        for at, packaging in entries(product.get("packaging"), (*path, "packaging")):
            _check_reference(found, packaging, at, "ingredient", "ingredient", ingredients)
        for at, labor in entries(product.get("labour"), (*path, "labour")):
            check_numbers(found, labor, at, PRODUCT_LABOR)
            _check_reference(found, labor, at, "role", "role", roles)
        for at, time in entries(product.get("station_time"), (*path, "station_time")):
            check_numbers(found, time, at, STATION_TIME)
            _check_reference(found, time, at, "station", "station", stations)


def _check_price_rules(found: Problems, document: dict[str, Any]) -> None:
    products = _codes(document, "products")
    for path, rule in entries(document.get("price_rules"), ("price_rules",)):
        check_numbers(found, rule, path, PRICE_RULE)
        _check_money(found, rule, path, ("minimum",))
        _check_reference(found, rule, path, "product", "product", products)


def _check_reference(found: Problems, item: dict[str, Any], path: Path, key: str, kind: str, known: set[str]) -> None:
    code = as_text(item.get(key))
    if code is not None and code not in known:
        found.add(
            f"unknown_{kind}",
            (*path, key),
            f"There is no {kind} with the code “{code}” in the Book. Correct the code or add it.",
        )


def _check_codes(found: Problems, document: dict[str, Any]) -> None:
    for kind in ("ingredients", "recipes", "products", "price_rules"):
        _check_twice(found, document.get(kind), (kind,))
    for path, ingredient in entries(document.get("ingredients"), ("ingredients",)):
        _check_twice(found, ingredient.get("parts"), (*path, "parts"))


def _check_twice(found: Problems, items: Any, path: Path) -> None:
    seen: set[str] = set()
    for at, item in entries(items, path):
        code = as_text(item.get("code"))
        if code is not None and code in seen:
            found.add(
                "duplicate_code", (*at, "code"), f"The code “{code}” stands twice in this list. Give one another code."
            )
        seen.add(code or "")


def _codes(document: dict[str, Any], kind: str) -> set[str]:
    codes = (as_text(item.get("code")) for _, item in entries(document.get(kind), ()))
    return {code for code in codes if code is not None}


def _keys(document: dict[str, Any], kind: str) -> set[str]:
    return set(as_object(document.get(kind)))


def _parts_by_ingredient(document: dict[str, Any]) -> dict[str, set[str]]:
    parts: dict[str, set[str]] = {}
    for _, ingredient in entries(document.get("ingredients"), ()):
        code = as_text(ingredient.get("code"))
        if code is not None and code not in parts:
            parts[code] = {as_text(part.get("code")) or "" for _, part in entries(ingredient.get("parts"), ())}
    return parts
