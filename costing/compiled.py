"""A Book made ready for computing: places instead of codes, amounts per gram of output, closures.

Every table exists twice: exact (fractions) and wide (decimals of `DIGITS` digits). The wide one is fast; where a
whole number has to be decided and the wide result is too close to call, the exact one decides (`costing.workings`).
"""

from __future__ import annotations

import weakref
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Context, Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Generic, TypeVar

from costing.book import Book, Ingredient, Pack, PriceRule, Product, Recipe
from costing.currencies import MINOR_DIGITS
from costing.packs import PackShelf

N = TypeVar("N", Decimal, Fraction)

DIGITS = 80
WIDE = Context(prec=DIGITS, Emax=999999, Emin=-999999)
SIXTY = 60
GRAMS_PER_KG = 1000


@dataclass(frozen=True, slots=True)
class RecipeRow(Generic[N]):
    """A recipe per gram of its output: recipes and ingredients used [g/g], batch limits [g], labour."""

    subs: tuple[tuple[int, N], ...]
    uses: tuple[tuple[int, N], ...]
    limit: N | None
    least: N | None
    minutes_batch: N
    minutes_gram: N
    pay_batch: N
    pay_gram: N


@dataclass(frozen=True, slots=True)
class ProductRow(Generic[N]):
    """A product per unit: fill [g], packaging as purchased [g or each], labour and station money."""

    fill: tuple[tuple[int, N], ...]
    packaging: tuple[tuple[int, N], ...]
    minutes_load: N
    minutes_unit: N
    pay_load: N
    pay_unit: N
    station_load: N


@dataclass(frozen=True, slots=True)
class Slot(Generic[N]):
    """An ingredient as a whole or one of its parts: what is ready to use per what is purchased [share]."""

    ingredient: int
    joint: str | None
    share: N


@dataclass(frozen=True, slots=True)
class Tables(Generic[N]):
    """All rows of a Book in one kind of number."""

    of: Callable[[Fraction], N]
    zero: N
    one: N
    recipes: tuple[RecipeRow[N], ...]
    products: tuple[ProductRow[N], ...]
    slots: tuple[Slot[N], ...]
    waste: N
    labour_hour: N
    order_overhead: N


@dataclass(frozen=True, slots=True)
class Offer:
    """What an ingredient is bought at on a costing date: its packs in force, and the price for what is used."""

    packs: tuple[Pack, ...]
    shelf: PackShelf
    sizes: tuple[Fraction, ...]
    price: Fraction
    wide_price: Decimal


class Compiled:
    """A Book ready for computing. Get it from `compile_book`, which keeps it as long as the Book lives.

    Parameters
    ----------
    book : Book
        A sound Book.
    """

    def __init__(self, book: Book) -> None:
        # The Book's own records are held, never the Book: `compile_book` drops this when the Book goes.
        self.kitchen = book.kitchen
        self.currency = book.currency
        self.digits = MINOR_DIGITS[book.currency]
        self.delivery = book.delivery
        self.taxes = {tax.code: tax for tax in book.taxes}
        self.ingredients = book.ingredients
        self.products = book.products
        self.price_rules = book.price_rules
        self.recipes: tuple[Recipe, ...] = _users_first(book)
        self.recipe_at = {recipe.code: i for i, recipe in enumerate(self.recipes)}
        self.product_at = {product.code: i for i, product in enumerate(book.products)}
        self.ingredient_at = {ingredient.code: i for i, ingredient in enumerate(book.ingredients)}
        maker = _Maker(book, self)
        self.exact: Tables[Fraction] = maker.tables()
        self.wide: Tables[Decimal] = _widen(self.exact)
        self.delivery_pay = Fraction(0) if book.delivery is None else _pay(book, book.delivery.role)
        self._closures = [self._closure(i) for i in range(len(self.products))]
        self._allergens = self._recipe_allergens()
        self.price_on = lru_cache(maxsize=8)(self._prices)
        self.rules_for = lru_cache(maxsize=4096)(self._rules)

    def reached(self, product: int) -> tuple[int, ...]:
        """Give the recipes a product needs, directly or through others, users first."""
        return self._closures[product]

    def ingredients_of(self, product: int) -> set[int]:
        """Give the ingredients a product needs, packaging too."""
        slots = self.exact.slots
        found = {at for at, _ in self.exact.products[product].packaging}
        for recipe in self._closures[product]:
            found.update(slots[slot].ingredient for slot, _ in self.exact.recipes[recipe].uses)
        return found

    def allergens(self, product: int) -> tuple[str, ...]:
        """Give the allergens of everything reached through fill, and of packaging, sorted."""
        found: set[str] = set()
        for recipe, _ in self.exact.products[product].fill:
            found |= self._allergens[recipe]
        for at, _ in self.exact.products[product].packaging:
            found.update(self.ingredients[at].allergens)
        return tuple(sorted(found))

    def _prices(self, day: date) -> dict[int, Offer | None]:
        return _Prices(self, day)

    def _rules(self, product: int, customer_kind: str | None) -> tuple[PriceRule, ...]:
        """Give the rules that fit a line whatever its quantity, best first."""
        item = self.products[product]
        fitting = [
            rule
            for rule in self.price_rules
            if rule.product in (None, item.code)
            and rule.category in (None, item.category)
            and rule.customer_kind in (None, customer_kind)
        ]
        return tuple(sorted(fitting, key=_precedence))

    def covers(self, rule: PriceRule, product: int) -> bool:
        """Tell whether a rule matches a product, the customer kind aside."""
        item = self.products[product]
        return rule.product in (None, item.code) and rule.category in (None, item.category)

    def _closure(self, product: int) -> tuple[int, ...]:
        found: set[int] = set()
        waiting = [recipe for recipe, _ in self.exact.products[product].fill]
        while waiting:
            recipe = waiting.pop()
            if recipe not in found:
                found.add(recipe)
                waiting.extend(sub for sub, _ in self.exact.recipes[recipe].subs)
        return tuple(sorted(found))

    def _recipe_allergens(self) -> list[frozenset[str]]:
        found: list[frozenset[str]] = [frozenset()] * len(self.recipes)
        for i in reversed(range(len(self.recipes))):
            row = self.exact.recipes[i]
            own = {a for slot, _ in row.uses for a in self.ingredients[self.exact.slots[slot].ingredient].allergens}
            found[i] = frozenset(own).union(*(found[sub] for sub, _ in row.subs))
        return found


class _Prices(dict[int, Offer | None]):
    """Ingredient -> offer in force on one costing date, made when first asked for."""

    def __init__(self, compiled: Compiled, day: date) -> None:
        super().__init__()
        self._ingredients, self._cup, self._day = compiled.ingredients, compiled.kitchen.cup, day

    def __missing__(self, at: int) -> Offer | None:
        ingredient = self._ingredients[at]
        packs = standing(ingredient, self._day)
        offer = None
        if packs:
            sizes = tuple(ingredient.amount_of(pack.size, self._cup) for pack in packs)
            counted = [i for i, pack in enumerate(packs) if pack.preferred] or range(len(packs))
            price = min(packs[i].price / sizes[i] for i in counted)
            shelf = PackShelf(list(sizes), [pack.price for pack in packs])
            offer = Offer(packs, shelf, sizes, price, wide(price))
        self[at] = offer
        return offer


def standing(ingredient: Ingredient, day: date) -> tuple[Pack, ...]:
    """Give the packs that stand on a costing date: of equal size texts in force only the cheapest.

    Parameters
    ----------
    ingredient : Ingredient
        What is bought.
    day : date
        Costing date.

    Returns
    -------
    tuple of Pack
        In the order listed; of equally cheap ones the one listed first.
    """
    cheapest: dict[str, int] = {}
    for i, pack in enumerate(ingredient.packs):
        if pack.in_force(day):
            rival = cheapest.get(pack.size.text)
            if rival is None or pack.price < ingredient.packs[rival].price:
                cheapest[pack.size.text] = i
    return tuple(ingredient.packs[i] for i in sorted(cheapest.values()))


def wide(value: Fraction) -> Decimal:
    """Give a fraction as a decimal of `DIGITS` digits."""
    return WIDE.divide(Decimal(value.numerator), Decimal(value.denominator))


def _precedence(rule: PriceRule) -> tuple[bool, int, int]:
    place = 0 if rule.product is not None else (1 if rule.category is not None else 2)
    return (rule.customer_kind is None, place, -rule.from_units)


def _users_first(book: Book) -> tuple[Recipe, ...]:
    """Order recipes so that each stands before what it uses."""
    users: dict[str, int] = {recipe.code: 0 for recipe in book.recipes}
    for recipe in book.recipes:
        for used in {line.recipe for line in recipe.lines if line.recipe is not None}:
            users[used] += 1
    ready = [recipe for recipe in book.recipes if not users[recipe.code]]
    for recipe in ready:
        for used in dict.fromkeys(line.recipe for line in recipe.lines if line.recipe is not None):
            users[used] -= 1
            if not users[used]:
                ready.append(book.recipe(used))
    return tuple(ready)


def _pay(book: Book, role: str) -> Fraction:
    """Give what a minute of a role costs [currency/min]."""
    found = book.role(role)
    return found.hourly * (1 + found.on_cost) / SIXTY


class _Maker:
    """Builds the exact tables of a Book."""

    def __init__(self, book: Book, compiled: Compiled) -> None:
        self.book, self.at = book, compiled
        self.slots: list[Slot[Fraction]] = []
        self.slot_at: dict[tuple[str, str | None], int] = {}
        for i, ingredient in enumerate(book.ingredients):
            self._slot(ingredient.code, None, Slot(i, None, ingredient.yield_))
            for part in ingredient.parts:
                self._slot(ingredient.code, part.code, Slot(i, part.joint, part.share))

    def _slot(self, ingredient: str, part: str | None, slot: Slot[Fraction]) -> None:
        self.slot_at[ingredient, part] = len(self.slots)
        self.slots.append(slot)

    def tables(self) -> Tables[Fraction]:
        overhead = self.book.overhead
        return Tables(
            of=lambda value: value,
            zero=Fraction(0),
            one=Fraction(1),
            recipes=tuple(self._recipe(recipe) for recipe in self.at.recipes),
            products=tuple(self._product(product) for product in self.book.products),
            slots=tuple(self.slots),
            waste=1 + self.book.kitchen.waste,
            labour_hour=Fraction(overhead.per_labour_hour if overhead else 0),
            order_overhead=Fraction(overhead.per_order if overhead else 0),
        )

    def _recipe(self, recipe: Recipe) -> RecipeRow[Fraction]:
        cup = self.book.kitchen.cup
        subs: dict[int, Fraction] = {}
        ready: dict[int, Fraction] = {}
        for line in recipe.lines:
            if line.recipe is not None:
                at = self.at.recipe_at[line.recipe]
                subs[at] = subs.get(at, Fraction(0)) + line.amount.grams(cup)
            elif line.ingredient is not None:
                slot = self.slot_at[line.ingredient, line.part]
                grams = self.book.ingredient(line.ingredient).amount_of(line.amount, cup, line.part)
                ready[slot] = ready.get(slot, Fraction(0)) + grams
        output = (sum(subs.values()) + sum(ready.values())) * (1 - recipe.loss)
        work = [(_pay(self.book, item.role), item.per_batch, item.per_kg / GRAMS_PER_KG) for item in recipe.labour]
        return RecipeRow(
            subs=tuple((at, grams / output) for at, grams in subs.items()),
            uses=tuple((slot, grams / output / self.slots[slot].share) for slot, grams in ready.items()),
            limit=None if recipe.batch_limit is None else recipe.batch_limit.grams(cup),
            least=None if recipe.batch_min is None else recipe.batch_min.grams(cup),
            minutes_batch=_sum(batch for _, batch, _ in work),
            minutes_gram=_sum(gram for _, _, gram in work),
            pay_batch=_sum(pay * batch for pay, batch, _ in work),
            pay_gram=_sum(pay * gram for pay, _, gram in work),
        )

    def _product(self, product: Product) -> ProductRow[Fraction]:
        cup = self.book.kitchen.cup
        fill: dict[int, Fraction] = {}
        for item in product.fill:
            at = self.at.recipe_at[item.recipe]
            fill[at] = fill.get(at, Fraction(0)) + item.amount.grams(cup)
        packaging: dict[int, Fraction] = {}
        for pack in product.packaging:
            ingredient = self.book.ingredient(pack.ingredient)
            at = self.at.ingredient_at[pack.ingredient]
            bought = ingredient.amount_of(pack.amount, cup) / ingredient.yield_
            packaging[at] = packaging.get(at, Fraction(0)) + bought
        work = [(_pay(self.book, item.role), item.per_load, item.per_unit) for item in product.labour]
        return ProductRow(
            fill=tuple(fill.items()),
            packaging=tuple(packaging.items()),
            minutes_load=_sum(load for _, load, _ in work),
            minutes_unit=_sum(unit for _, _, unit in work),
            pay_load=_sum(pay * load for pay, load, _ in work),
            pay_unit=_sum(pay * unit for pay, _, unit in work),
            station_load=_sum(
                time.minutes_per_load / SIXTY * self.book.station(time.station).hourly for time in product.station_time
            ),
        )


def _sum(values: Iterable[Fraction]) -> Fraction:
    return sum(values, Fraction(0))


def _widen(exact: Tables[Fraction]) -> Tables[Decimal]:
    def pairs(items: tuple[tuple[int, Fraction], ...]) -> tuple[tuple[int, Decimal], ...]:
        return tuple((at, wide(value)) for at, value in items)

    return Tables(
        of=wide,
        zero=Decimal(0),
        one=Decimal(1),
        recipes=tuple(
            RecipeRow(
                pairs(row.subs),
                pairs(row.uses),
                None if row.limit is None else wide(row.limit),
                None if row.least is None else wide(row.least),
                wide(row.minutes_batch),
                wide(row.minutes_gram),
                wide(row.pay_batch),
                wide(row.pay_gram),
            )
            for row in exact.recipes
        ),
        products=tuple(
            ProductRow(
                pairs(row.fill),
                pairs(row.packaging),
                wide(row.minutes_load),
                wide(row.minutes_unit),
                wide(row.pay_load),
                wide(row.pay_unit),
                wide(row.station_load),
            )
            for row in exact.products
        ),
        slots=tuple(Slot(slot.ingredient, slot.joint, wide(slot.share)) for slot in exact.slots),
        waste=wide(exact.waste),
        labour_hour=wide(exact.labour_hour),
        order_overhead=wide(exact.order_overhead),
    )


_COMPILED: dict[int, tuple[weakref.ref[Book], Compiled]] = {}


def compile_book(book: Book) -> Compiled:
    """Give a Book made ready for computing; the work is done once per Book object.

    Parameters
    ----------
    book : Book
        A sound Book (from `Book.from_json`, or checked with `costing.checks.check_book`).

    Returns
    -------
    Compiled
        Kept until the Book is dropped.
    """
    key = id(book)
    kept = _COMPILED.get(key)
    if kept is not None and kept[0]() is book:
        return kept[1]
    compiled = Compiled(book)
    _COMPILED[key] = (weakref.ref(book, lambda _: _COMPILED.pop(key, None)), compiled)
    return compiled
