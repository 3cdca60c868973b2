"""The check of a whole Book: finds every error of the contract's table at once, also in what no Brief uses.

The rules run over `Entry`, so they are the same for a JSON document and for a Book of values. Only the first step
differs: a document is checked against the published schema, a Book of values against the schema's texts and choices.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from costing.contract.book import Book
from costing.contract.changed_part import changed_part
from costing.contract.entries import DocumentEntry, Entry, ValueEntry
from costing.contract.errors import CostingError, InputErrors, Path
from costing.contract.measure_checks import check_amount, check_mass, check_recipe_line
from costing.contract.problems import Problems
from costing.contract.ranges import (
    ABOVE_ZERO,
    MARGIN,
    NOT_NEGATIVE,
    RATE,
    SHARE,
    Ranges,
    check_minor,
    check_ranges,
)
from costing.contract.recipe_cycles import Reference, check_cycles
from costing.contract.schema import check_schema
from costing.contract.value_checks import check_texts
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
TAX_RATE: Ranges = {"rate": RATE}
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
    check_schema(found, document)
    if isinstance(document, dict):
        _BookCheck(found, DocumentEntry(document)).run()
    return found.in_order()


def check_book(book: Book, sound: Book | None = None) -> None:
    """Check a Book that was built from rows.

    Parameters
    ----------
    book : Book
        Any Book.
    sound : Book, optional
        An earlier Book that was checked and had no errors. What the two share is not checked again, unless an error is
        found.

    Raises
    ------
    InputErrors
        Everything found wrong, each at the place it would have in a document.
    """
    part = None if sound is None else changed_part(book, sound)
    if part is not None and not _errors(part):
        return
    errors = _errors(book)
    if errors:
        raise InputErrors(errors)


def _errors(book: Book) -> list[CostingError]:
    found = Problems("book", book)
    check_texts(found, book)
    _BookCheck(found, ValueEntry(book)).run()
    return found.in_order()


class _BookCheck:
    """The rules, and the codes that references may name."""

    def __init__(self, found: Problems, book: Entry) -> None:
        self.found, self.book = found, book
        self.digits = MINOR_DIGITS.get(book.text("currency") or "")
        self.known = {kind: {code for code, _ in book.coded(kind)} for kind in ("roles", "stations", "taxes")}
        self.known |= {kind: self._codes(kind) for kind in ("recipes", "products")}
        self.ingredients: dict[str, Entry] = {}
        self.parts: dict[str, set[str]] = {}
        for _, ingredient in book.listed("ingredients"):
            code = ingredient.text("code")
            self.ingredients.setdefault(code or "", ingredient)
            if code is not None and code not in self.parts:
                self.parts[code] = {part.text("code") or "" for _, part in ingredient.listed("parts")}
        self.known["ingredients"] = set(self.parts)

    def _codes(self, kind: str) -> set[str]:
        codes = (item.text("code") for _, item in self.book.listed(kind))
        return {code for code in codes if code is not None}

    def run(self) -> None:
        self._currency()
        self._kitchen()
        self._charges()
        self._ingredients()
        self._recipes()
        self._products()
        self._price_rules()
        check_cycles(self.found, self._references())

    def _currency(self) -> None:
        currency = self.book.text("currency")
        if currency is not None and CURRENCY.fullmatch(currency) and currency not in MINOR_DIGITS:
            self.found.report("schema", ("currency",), "no_such_currency", currency=currency)

    def _money(self, item: Entry, path: Path, *keys: str) -> None:
        if self.digits is not None:
            check_minor(self.found, item, path, keys, self.digits)

    def _ranges(self, item: Entry, path: Path, ranges: Ranges) -> None:
        check_ranges(self.found, item, path, ranges)

    def _kitchen(self) -> None:
        kitchen = self.book.object("kitchen")
        self._ranges(kitchen, ("kitchen",), KITCHEN)
        self._money(kitchen, ("kitchen",), "price_step", "order_minimum")
        self._ranges(self.book.object("overhead"), ("overhead",), OVERHEAD)

    def _charges(self) -> None:
        for code, role in self.book.coded("roles"):
            self._ranges(role, ("roles", code), ROLE)
        for code, station in self.book.coded("stations"):
            self._ranges(station, ("stations", code), STATION)
        for code, rates in self.book.coded_lists("taxes"):
            self._rates(code, rates)
        delivery = self.book.object("delivery")
        self._ranges(delivery, ("delivery",), DELIVERY)
        self._reference(delivery, ("delivery",), "role", "roles")
        if delivery.text("tax") != "goods":
            self._reference(delivery, ("delivery",), "tax", "taxes")

    def _rates(self, tax: str, rates: Any) -> None:
        begun: set[str] = set()
        for at, rate in rates:
            path: Path = ("taxes", tax, at)
            self._ranges(rate, path, TAX_RATE)
            start = rate.text("from")
            if start is not None and start in begun:
                self.found.report("duplicate_code", (*path, "from"), "two_rates", tax=tax, day=start)
            begun.add(start or "")

    def _ingredients(self) -> None:
        self._twice(self.book.listed("ingredients"))
        for path, ingredient in self.book.listed("ingredients"):
            self._ranges(ingredient, path, INGREDIENT)
            self._twice(ingredient.listed("parts", path))
            for at, part in ingredient.listed("parts", path):
                self._ranges(part, at, PART)
            for at, pack in ingredient.listed("packs", path):
                self._ranges(pack, at, PACK)
                check_amount(self.found, pack, at, "size", ingredient)

    def _recipes(self) -> None:
        self._twice(self.book.listed("recipes"))
        for path, recipe in self.book.listed("recipes"):
            self._ranges(recipe, path, RECIPE)
            for key in ("batch_limit", "batch_min"):
                check_mass(self.found, recipe, path, key)
            for at, line in recipe.listed("lines", path):
                self._reference(line, at, "ingredient", "ingredients")
                self._reference(line, at, "recipe", "recipes")
                self._part(line, at)
                check_recipe_line(self.found, line, at, self.ingredients)
            for at, labor in recipe.listed("labour", path):
                self._ranges(labor, at, RECIPE_LABOR)
                self._reference(labor, at, "role", "roles")

    def _part(self, line: Entry, path: Path) -> None:
        ingredient, part = line.text("ingredient"), line.text("part")
        if ingredient is None or part is None or ingredient not in self.parts:
            return
        known = self.parts[ingredient]
        if part not in known:
            self.found.report(
                "unknown_part",
                (*path, "part"),
                "unknown_part",
                ingredient=ingredient,
                part=part,
                among=tuple(sorted(known)),
            )

    def _products(self) -> None:
        self._twice(self.book.listed("products"))
        for path, product in self.book.listed("products"):
            self._ranges(product, path, PRODUCT)
            self._money(product, path, "list_price")
            self._reference(product, path, "tax", "taxes")
            for at, fill in product.listed("fill", path):
                self._reference(fill, at, "recipe", "recipes")
                check_mass(self.found, fill, at, "amount")
            for at, packaging in product.listed("packaging", path):
                self._reference(packaging, at, "ingredient", "ingredients")
                used = self.ingredients.get(packaging.text("ingredient") or "")
                check_amount(self.found, packaging, at, "amount", used)
            for at, labor in product.listed("labour", path):
                self._ranges(labor, at, PRODUCT_LABOR)
                self._reference(labor, at, "role", "roles")
            for at, time in product.listed("station_time", path):
                self._ranges(time, at, STATION_TIME)
                self._reference(time, at, "station", "stations")

    def _price_rules(self) -> None:
        self._twice(self.book.listed("price_rules"))
        for path, rule in self.book.listed("price_rules"):
            self._ranges(rule, path, PRICE_RULE)
            self._money(rule, path, "minimum")
            self._reference(rule, path, "product", "products")

    def _reference(self, item: Entry, path: Path, key: str, kind: str) -> None:
        code = item.text(key)
        if code is not None and code not in self.known[kind]:
            self.found.report(f"unknown_{key}", (*path, key), "unknown_code", kind=key, code=code)

    def _twice(self, items: Iterator[tuple[Path, Entry]]) -> None:
        seen: set[str] = set()
        for at, item in items:
            code = item.text("code")
            if code is not None and code in seen:
                self.found.report("duplicate_code", (*at, "code"), "code_twice", code=code)
            seen.add(code or "")

    def _references(self) -> Iterator[Reference]:
        for path, recipe in self.book.listed("recipes"):
            user = recipe.text("code")
            for at, line in recipe.listed("lines", path):
                used = line.text("recipe")
                if user is not None and used is not None:
                    yield (*at, "recipe"), user, used
