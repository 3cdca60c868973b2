"""A Book's numbers as tables: indices instead of codes, amounts per gram of output, money per minute.

Every table exists twice: exact (fractions) and wide (decimals of 80 digits, `costing.measures.numbers.wide`). The wide
table is fast. Where a whole number is decided and the wide result is too close to the threshold, the exact table
decides (`costing.requirements.workings`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Generic, TypeVar

from costing.contract.book import Book, Ingredient, Product, Recipe
from costing.measures.numbers import wide

N = TypeVar("N", Decimal, Fraction)

SIXTY = 60
GRAMS_PER_KG = 1000


@dataclass(frozen=True, slots=True)
class RecipeRow(Generic[N]):
    """A recipe per gram of its output: recipes and ingredients used [g/g], batch limits [g], labor.

    `varying` lists the ingredients used whose rate depends on the order (see `varies`).
    """

    subs: tuple[tuple[int, N], ...]
    uses: tuple[tuple[int, N], ...]
    varying: tuple[tuple[int, N], ...]
    limit: N | None
    least: N | None
    minutes_batch: N
    minutes_gram: N
    pay_batch: N
    pay_gram: N


@dataclass(frozen=True, slots=True)
class ProductRow(Generic[N]):
    """A product per unit: fill [g], packaging as purchased [g or each], labor and station money."""

    fill: tuple[tuple[int, N], ...]
    packaging: tuple[tuple[int, N], ...]
    minutes_load: N
    minutes_unit: N
    pay_load: N
    pay_unit: N
    station_load: N


@dataclass(frozen=True, slots=True)
class Slot(Generic[N]):
    """An ingredient as a whole or one of its parts: the share of the purchased amount that is ready to use [share]."""

    ingredient: int
    joint: str | None
    share: N


@dataclass(frozen=True, slots=True)
class BookTables(Generic[N]):
    """All rows of a Book in one kind of number."""

    of: Callable[[Fraction], N]
    zero: N
    one: N
    recipes: tuple[RecipeRow[N], ...]
    products: tuple[ProductRow[N], ...]
    slots: tuple[Slot[N], ...]
    yields: tuple[N, ...]
    waste: N
    labor_minute: N
    order_overhead: N


def pay_per_minute(book: Book, role: str) -> Fraction:
    """Return the cost of a minute of a role, on-cost included [currency/min].

    Parameters
    ----------
    book : Book
        A sound Book.
    role : str
        Code of one of its roles.
    """
    found = book.role(role)
    return found.hourly * (1 + found.on_cost) / SIXTY


def varies(ingredient: Ingredient) -> bool:
    """Return whether an ingredient's cost per gram of a line depends on the rest of the order.

    It does where whole packs are charged, and where joint parts are used in proportions that differ from order to
    order. Any other ingredient costs its price per gram, with waste, in every order.

    Parameters
    ----------
    ingredient : Ingredient
        Any ingredient.
    """
    return ingredient.charge == "packs" or any(part.joint is not None for part in ingredient.parts)


class BookTablesBuilder:
    """Builds the exact tables of a Book.

    Parameters
    ----------
    book : Book
        A sound Book.
    recipes : tuple of Recipe
        Its recipes, each before the recipes it uses.
    recipe_at : mapping of str to int
        Code of a recipe -> its index among them.
    """

    def __init__(self, book: Book, recipes: tuple[Recipe, ...], recipe_at: Mapping[str, int]) -> None:
        self.book, self.recipes, self.recipe_at = book, recipes, recipe_at
        self.ingredient_at = {ingredient.code: i for i, ingredient in enumerate(book.ingredients)}
        self.slots: list[Slot[Fraction]] = []
        self.slot_at: dict[tuple[str, str | None], int] = {}
        for i, ingredient in enumerate(book.ingredients):
            self._slot(ingredient.code, None, Slot(i, None, ingredient.yield_))
            for part in ingredient.parts:
                self._slot(ingredient.code, part.code, Slot(i, part.joint, part.share))

    def _slot(self, ingredient: str, part: str | None, slot: Slot[Fraction]) -> None:
        self.slot_at[ingredient, part] = len(self.slots)
        self.slots.append(slot)

    def tables(self) -> BookTables[Fraction]:
        """Build the exact tables."""
        overhead = self.book.overhead
        return BookTables(
            of=lambda value: value,
            zero=Fraction(0),
            one=Fraction(1),
            recipes=tuple(self._recipe(recipe) for recipe in self.recipes),
            products=tuple(self._product(product) for product in self.book.products),
            slots=tuple(self.slots),
            yields=tuple(ingredient.yield_ for ingredient in self.book.ingredients),
            waste=1 + self.book.kitchen.waste,
            labor_minute=Fraction(overhead.per_labor_hour if overhead else 0) / SIXTY,
            order_overhead=Fraction(overhead.per_order if overhead else 0),
        )

    def _recipe(self, recipe: Recipe) -> RecipeRow[Fraction]:
        cup = self.book.kitchen.cup
        subs: dict[int, Fraction] = {}
        ready: dict[int, Fraction] = {}
        for line in recipe.lines:
            if line.recipe is not None:
                at = self.recipe_at[line.recipe]
                subs[at] = subs.get(at, Fraction(0)) + line.amount.grams(cup)
            elif line.ingredient is not None:
                slot = self.slot_at[line.ingredient, line.part]
                grams = self.book.ingredient(line.ingredient).amount_of(line.amount, cup, line.part)
                ready[slot] = ready.get(slot, Fraction(0)) + grams
        output = (sum(subs.values()) + sum(ready.values())) * (1 - recipe.loss)
        work = [
            (pay_per_minute(self.book, item.role), item.per_batch, item.per_kg / GRAMS_PER_KG) for item in recipe.labor
        ]
        uses = tuple((slot, grams / output / self.slots[slot].share) for slot, grams in ready.items())
        return RecipeRow(
            subs=tuple((at, grams / output) for at, grams in subs.items()),
            uses=uses,
            varying=tuple(use for use in uses if varies(self.book.ingredients[self.slots[use[0]].ingredient])),
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
            at = self.recipe_at[item.recipe]
            fill[at] = fill.get(at, Fraction(0)) + item.amount.grams(cup)
        packaging: dict[int, Fraction] = {}
        for pack in product.packaging:
            ingredient = self.book.ingredient(pack.ingredient)
            at = self.ingredient_at[pack.ingredient]
            bought = ingredient.amount_of(pack.amount, cup) / ingredient.yield_
            packaging[at] = packaging.get(at, Fraction(0)) + bought
        work = [(pay_per_minute(self.book, item.role), item.per_load, item.per_unit) for item in product.labor]
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


def widen(exact: BookTables[Fraction]) -> BookTables[Decimal]:
    """Convert exact tables to wide ones.

    Parameters
    ----------
    exact : BookTables
        Tables of fractions.
    """

    def pairs(items: tuple[tuple[int, Fraction], ...]) -> tuple[tuple[int, Decimal], ...]:
        return tuple((at, wide(value)) for at, value in items)

    return BookTables(
        of=wide,
        zero=Decimal(0),
        one=Decimal(1),
        recipes=tuple(
            RecipeRow(
                pairs(row.subs),
                pairs(row.uses),
                pairs(row.varying),
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
        yields=tuple(wide(share) for share in exact.yields),
        waste=wide(exact.waste),
        labor_minute=wide(exact.labor_minute),
        order_overhead=wide(exact.order_overhead),
    )
