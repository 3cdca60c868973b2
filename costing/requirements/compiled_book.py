"""A Book prepared for computing: tables, closures and offers, computed once and cached as long as the Book lives."""

from __future__ import annotations

import weakref
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from threading import Lock
from typing import Generic

from costing.contract.book import Book, PriceRule
from costing.contract.price_rules import RuleTerms, precedence
from costing.measures.numbers import wide
from costing.money.currencies import MINOR_DIGITS
from costing.purchasing.offers import Basket, Offers
from costing.requirements.book_structure import BookStructure
from costing.requirements.book_tables import BookTables, N, pay_per_minute, varies

MOST_DAYS = 8
"""Costing dates whose offers are kept."""


@dataclass(frozen=True, slots=True)
class LineDemand:
    """The demand of a line: index of the product, units ordered, units made with spares, loads."""

    product: int
    units: int
    made: int
    loads: int


@dataclass(slots=True)
class RecipeBatches(Generic[N]):
    """One recipe in the whole order: grams needed, grams made, number of batches, labor."""

    recipe: int
    asked: N
    grams: N
    batches: int
    minutes: N
    pay: N


@dataclass(slots=True)
class Purchase(Generic[N]):
    """One ingredient in the whole order; `rate` is its cost per as-purchased amount of a line."""

    ingredient: int
    needed: N
    cost: N
    rate: N
    basket: Basket | None


@dataclass(slots=True)
class LineCost(Generic[N]):
    """One line's costs and minutes [currency; min]; `per_order` is part of the overhead."""

    ingredients: N
    packaging: N
    labor: N
    minutes: N
    overhead: N
    per_order: N

    @property
    def cost(self) -> N:
        """Total cost of the line [currency]."""
        return self.ingredients + self.packaging + self.labor + self.overhead


class FixedRates(dict[int, Decimal]):
    """Recipe -> cost of its ingredients with a fixed rate on a costing date [currency/g], computed when first read."""

    def __init__(self, tables: BookTables[Decimal], counted: tuple[bool, ...], offers: Offers) -> None:
        super().__init__()
        self._tables, self._counted, self._offers = tables, counted, offers
        self._rates: dict[int, Decimal] = {}

    def rate(self, ingredient: int) -> Decimal:
        """Return the cost of an ingredient with a fixed rate [currency per as-purchased g or each].

        Parameters
        ----------
        ingredient : int
            Place of the ingredient.

        Raises
        ------
        KeyError
            When no pack of it is in force.
        """
        found = self._rates.get(ingredient)
        if found is None:
            offer = self._offers[ingredient]
            if offer is None:
                raise KeyError(f"no pack in force for ingredient {ingredient}")
            found = offer.wide_price if self._counted[ingredient] else offer.wide_price * self._tables.waste
            self._rates[ingredient] = found
        return found

    def __missing__(self, recipe: int) -> Decimal:
        row, slots = self._tables.recipes[recipe], self._tables.slots
        varying = {slot for slot, _ in row.varying}
        fixed = (use for use in row.uses if use[0] not in varying)
        found = sum((amount * self.rate(slots[slot].ingredient) for slot, amount in fixed), Decimal(0))
        self[recipe] = found
        return found


class CompiledBook:
    """A Book prepared for computing. Get it from `compile_book`, which caches it as long as the Book lives.

    Parameters
    ----------
    book : Book
        A sound Book.
    before : CompiledBook, optional
        An earlier Book that was prepared; what is still true of it is taken over.
    """

    def __init__(self, book: Book, before: CompiledBook | None = None) -> None:
        # This object refers to the Book's records, never to the Book, so that `compile_book` can drop it with the Book.
        self.kitchen = book.kitchen
        self.currency = book.currency
        self.digits = MINOR_DIGITS[book.currency]
        self.scale: int = 10**self.digits
        self.step = int(book.kitchen.price_step * self.scale)
        self.order_minimum = int(book.kitchen.order_minimum * self.scale)
        self.delivery = book.delivery
        self.taxes = {tax.code: tax for tax in book.taxes}
        self.ingredients = book.ingredients
        self.counted = tuple(ingredient.base == "each" for ingredient in book.ingredients)
        self.used = tuple(ingredient.charge == "used" for ingredient in book.ingredients)
        self.varying = tuple(varies(ingredient) for ingredient in book.ingredients)
        self.products = book.products
        self.made_per_unit = tuple((1 + product.spare).as_integer_ratio() for product in book.products)
        self.list_prices = tuple(
            None if product.list_price is None else int(product.list_price * self.scale) for product in book.products
        )
        self.price_rules = book.price_rules
        self.structure: BookStructure = (
            before.structure if before is not None and before.structure.is_of(book) else BookStructure(book)
        )
        self.recipes, self.recipe_at = self.structure.recipes, self.structure.recipe_at
        self.product_at = {product.code: i for i, product in enumerate(book.products)}
        self.ingredient_at = {ingredient.code: i for i, ingredient in enumerate(book.ingredients)}
        self.exact, self.wide = self.structure.exact, self.structure.wide
        self.delivery_pay = Fraction(0) if book.delivery is None else pay_per_minute(book.role(book.delivery.role))
        self.slots_of = self.structure.slots_of
        self._days: dict[date, Offers] = {} if before is None else before.offers_for(book)
        self.allergens = lru_cache(maxsize=16384)(self._product_allergens)
        self.rates_in_force = lru_cache(maxsize=64)(self._rates_in_force)
        self.steps_per_cost = lru_cache(maxsize=4096)(self._steps_per_cost)
        self.least_steps = lru_cache(maxsize=4096)(self._least_steps)
        self.unpriced_on = lru_cache(maxsize=16384)(self._unpriced)
        self.rates_on = lru_cache(maxsize=8)(self._rates)
        self.rules_for = lru_cache(maxsize=4096)(self._rules)

    def line_demand(self, product: int, units: int) -> LineDemand:
        """Return the demand of a line: units, units made with spares, loads.

        Parameters
        ----------
        product : int
            Place of the product.
        units : int
            Units asked for [each].
        """
        per_unit, over = self.made_per_unit[product]
        made = -(-units * per_unit // over)
        load = self.products[product].load
        return LineDemand(product, units, made, 1 if load is None else -(-made // load))

    def reached(self, product: int) -> tuple[int, ...]:
        """Return the recipes a product needs, directly or through others, users first.

        Parameters
        ----------
        product : int
            Place of the product.
        """
        return self.structure.reached[product]

    def ingredients_of(self, product: int) -> frozenset[int]:
        """Return the ingredients a product needs, packaging too.

        Parameters
        ----------
        product : int
            Place of the product.
        """
        return self.structure.needed[product]

    def grams_made(self, recipe: int, sequence: tuple[int, ...], filled: dict[int, Fraction]) -> Fraction:
        """Return exactly how much of one recipe an order makes, from what uses it alone [g].

        Parameters
        ----------
        recipe : int
            Place of a recipe the order needs.
        sequence : tuple of int
            All recipes the order needs, each before the recipes it uses.
        filled : dict of int to Fraction
            What the products are filled with, by recipe [g].
        """
        above, waiting = {recipe}, [recipe]
        while waiting:
            new = {user for user, _ in self.structure.users[waiting.pop()]} - above
            above |= new
            waiting += new
        made: dict[int, Fraction] = {}
        for at in sequence:
            if at in above:
                taken = (made[user] * per_gram for user, per_gram in self.structure.users[at] if user in made)
                asked, least = sum(taken, filled.get(at, Fraction(0))), self.exact.recipes[at].least
                made[at] = asked if least is None else max(asked, least)
        return made[recipe]

    def _rates_in_force(self, day: date | None) -> dict[str, Fraction]:
        """Return the tax rates [share] in force on a supply date by code; all zero without a day (exempt customer)."""
        if day is None:
            return dict.fromkeys(self.taxes, Fraction(0))
        rates = {code: tax.rate_on(day) for code, tax in self.taxes.items()}
        return {code: rate for code, rate in rates.items() if rate is not None}

    def gross_factor(self, rate: Fraction) -> Fraction:
        """Return the factor from net price to shown price: 1 + rate where prices are shown with tax, else 1.

        Parameters
        ----------
        rate : Fraction
            Tax rate [share].
        """
        return 1 + rate if self.kitchen.prices == "gross" else Fraction(1)

    def _steps_per_cost(self, margin: Fraction, rate: Fraction) -> tuple[Fraction, Decimal]:
        """Return how many price steps a rule's margin asks for per unit of cost, exact and wide [1/currency]."""
        exact = self.gross_factor(rate) / ((1 - margin) * self.kitchen.price_step)
        return exact, wide(exact)

    def _least_steps(self, minimum: Fraction) -> int:
        """Return a rule's minimum price in whole price steps, rounded up."""
        return int(-(-minimum // self.kitchen.price_step)) if minimum else 0

    def _product_allergens(self, product: int) -> tuple[str, ...]:
        """Return the allergens of all recipes in the fill, and of the packaging, sorted."""
        return tuple(sorted({one for at in self.ingredients_of(product) for one in self.ingredients[at].allergens}))

    def _unpriced(self, product: int, day: date) -> frozenset[int]:
        """Return the ingredients of a product without a pack in force."""
        offers = self.offers_on(day)
        return frozenset(at for at in self.ingredients_of(product) if offers[at] is None)

    def offers_on(self, day: date) -> Offers:
        """Return the offers in force on a costing date; those of the last `MOST_DAYS` dates are kept.

        Parameters
        ----------
        day : date
            Costing date.
        """
        found = self._days.get(day)
        if found is None:
            found = Offers(self.ingredients, self.kitchen.cup, day)
            # Threads that need the same day all take the one that was kept.
            found = self._days.setdefault(day, found)
            for oldest in list(self._days)[:-MOST_DAYS]:
                self._days.pop(oldest, None)
        return found

    def offers_for(self, book: Book) -> dict[date, Offers]:
        """Return the offers made so far that hold for another Book too: those for ingredients that are the same record.

        Parameters
        ----------
        book : Book
            A later Book.
        """
        if book.kitchen.cup != self.kitchen.cup:
            return {}
        same = {
            at for at, pair in enumerate(zip(self.ingredients, book.ingredients, strict=False)) if pair[0] is pair[1]
        }
        days = {}
        for day, offers in self._days.copy().items():
            days[day] = Offers(book.ingredients, book.kitchen.cup, day)
            days[day].update((at, offer) for at, offer in offers.copy().items() if at in same)
        return days

    def _rates(self, day: date) -> FixedRates:
        return FixedRates(self.wide, self.counted, self.offers_on(day))

    def _rules(self, product: int, terms: RuleTerms) -> tuple[PriceRule, ...]:
        """Return the rules that fit a line whatever its quantity, best first."""
        item = self.products[product]
        fitting = [rule for rule in self.price_rules if rule.covers(item) and rule.fits(terms)]
        return tuple(sorted(fitting, key=precedence))

    def covers(self, rule: PriceRule, product: int) -> bool:
        """Return whether a rule matches a product, whatever the customer's kind.

        Parameters
        ----------
        rule : PriceRule
            A rule of the Book.
        product : int
            Place of the product.
        """
        return rule.covers(self.products[product])


_COMPILING = Lock()
"""Held while a Book is prepared, so that other threads wait instead of preparing it too."""
_COMPILED: dict[int, tuple[weakref.ref[Book], CompiledBook]] = {}


def compile_book(book: Book, before: Book | None = None) -> CompiledBook:
    """Return a Book prepared for computing; the work is done once per Book object.

    Parameters
    ----------
    book : Book
        A sound Book (from `costing.contract.read_book`, or checked with `costing.contract.check_book`).
    before : Book, optional
        An earlier Book that shares the records that did not change; where it was prepared too, the work for these is
        not done again.

    Returns
    -------
    CompiledBook
        Cached until the Book is garbage collected.
    """
    found = _compiled(book)
    if found is not None:
        return found
    with _COMPILING:
        found = _compiled(book)
        if found is None:
            key, found = id(book), CompiledBook(book, None if before is None else _compiled(before))
            _COMPILED[key] = weakref.ref(book, lambda _: _COMPILED.pop(key, None)), found
        return found


def _compiled(book: Book) -> CompiledBook | None:
    cached = _COMPILED.get(id(book))
    return cached[1] if cached is not None and cached[0]() is book else None
