"""A Book's numbers as tables: indices instead of codes, amounts per gram of output, money per minute.

Every table exists twice: exact (fractions) and wide (decimals of 80 digits, `costing.measures.numbers.wide`). The wide
table is fast. Where a whole number is decided and the wide result is too close to the threshold, the exact table
decides (`costing.requirements.workings`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Generic, TypeVar, overload

from costing.contract.book import Book, Ingredient, Product, Recipe, Role
from costing.measures.numbers import wide

N = TypeVar("N", Decimal, Fraction)
Row = TypeVar("Row")

SIXTY = 60
GRAMS_PER_KG = 1000


class OnDemand(Sequence[Row]):
    """Rows of a table, each made when it is first read: an order needs few of a large Book's rows.

    Threads may share it: two that need the same row both make it, and make the same.

    Parameters
    ----------
    length : int
        How many rows there are.
    make : callable
        Place of a row -> the row.
    """

    def __init__(self, length: int, make: Callable[[int], Row]) -> None:
        self._rows: list[Row | None] = [None] * length
        self._make = make

    def __len__(self) -> int:
        return len(self._rows)

    @overload
    def __getitem__(self, at: int) -> Row: ...

    @overload
    def __getitem__(self, at: slice) -> Sequence[Row]: ...

    def __getitem__(self, at: int | slice) -> Row | Sequence[Row]:
        if isinstance(at, slice):
            return [self[place] for place in range(*at.indices(len(self)))]
        row = self._rows[at]
        if row is None:
            row = self._rows[at] = self._make(at)
        return row


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
    recipes: Sequence[RecipeRow[N]]
    products: Sequence[ProductRow[N]]
    slots: tuple[Slot[N], ...]
    yields: tuple[N, ...]
    waste: N
    labor_minute: N
    order_overhead: N


def pay_per_minute(role: Role) -> Fraction:
    """Return the cost of a minute of a role, on-cost included [currency/min].

    Parameters
    ----------
    role : Role
        Any role.
    """
    return role.hourly * (1 + role.on_cost) / SIXTY


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
    """Builds the exact tables of a Book. The tables refer to the Book's records, never to the Book.

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
        self.recipes, self.recipe_at = recipes, recipe_at
        self.kitchen, self.overhead, self.products, self.goods = (
            book.kitchen,
            book.overhead,
            book.products,
            book.ingredients,
        )
        self.pay = {role.code: pay_per_minute(role) for role in book.roles}
        self.stations = {station.code: station for station in book.stations}
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
        overhead = self.overhead
        return BookTables(
            of=lambda value: value,
            zero=Fraction(0),
            one=Fraction(1),
            recipes=OnDemand(len(self.recipes), lambda at: self._recipe(self.recipes[at])),
            products=OnDemand(len(self.products), lambda at: self._product(self.products[at])),
            slots=tuple(self.slots),
            yields=tuple(ingredient.yield_ for ingredient in self.goods),
            waste=1 + self.kitchen.waste,
            labor_minute=Fraction(overhead.per_labor_hour if overhead else 0) / SIXTY,
            order_overhead=Fraction(overhead.per_order if overhead else 0),
        )

    def _recipe(self, recipe: Recipe) -> RecipeRow[Fraction]:
        cup = self.kitchen.cup
        subs: dict[int, Fraction] = {}
        ready: dict[int, Fraction] = {}
        for line in recipe.lines:
            if line.recipe is not None:
                at = self.recipe_at[line.recipe]
                subs[at] = subs.get(at, Fraction(0)) + line.amount.grams(cup)
            elif line.ingredient is not None:
                slot = self.slot_at[line.ingredient, line.part]
                grams = self.goods[self.ingredient_at[line.ingredient]].amount_of(line.amount, cup, line.part)
                ready[slot] = ready.get(slot, Fraction(0)) + grams
        output = (sum(subs.values()) + sum(ready.values())) * (1 - recipe.loss)
        work = [(self.pay[item.role], item.per_batch, item.per_kg / GRAMS_PER_KG) for item in recipe.labor]
        uses = tuple((slot, grams / output / self.slots[slot].share) for slot, grams in ready.items())
        return RecipeRow(
            subs=tuple((at, grams / output) for at, grams in subs.items()),
            uses=uses,
            varying=tuple(use for use in uses if varies(self.goods[self.slots[use[0]].ingredient])),
            limit=None if recipe.batch_limit is None else recipe.batch_limit.grams(cup),
            least=None if recipe.batch_min is None else recipe.batch_min.grams(cup),
            minutes_batch=_sum(batch for _, batch, _ in work),
            minutes_gram=_sum(gram for _, _, gram in work),
            pay_batch=_sum(pay * batch for pay, batch, _ in work),
            pay_gram=_sum(pay * gram for pay, _, gram in work),
        )

    def _product(self, product: Product) -> ProductRow[Fraction]:
        cup = self.kitchen.cup
        fill: dict[int, Fraction] = {}
        for item in product.fill:
            at = self.recipe_at[item.recipe]
            fill[at] = fill.get(at, Fraction(0)) + item.amount.grams(cup)
        packaging: dict[int, Fraction] = {}
        for pack in product.packaging:
            ingredient = self.goods[self.ingredient_at[pack.ingredient]]
            at = self.ingredient_at[pack.ingredient]
            bought = ingredient.amount_of(pack.amount, cup) / ingredient.yield_
            packaging[at] = packaging.get(at, Fraction(0)) + bought
        work = [(self.pay[item.role], item.per_load, item.per_unit) for item in product.labor]
        return ProductRow(
            fill=tuple(fill.items()),
            packaging=tuple(packaging.items()),
            minutes_load=_sum(load for _, load, _ in work),
            minutes_unit=_sum(unit for _, _, unit in work),
            pay_load=_sum(pay * load for pay, load, _ in work),
            pay_unit=_sum(pay * unit for pay, _, unit in work),
            station_load=_sum(
                time.minutes_per_load / SIXTY * self.stations[time.station].hourly for time in product.station_time
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
    return BookTables(
        of=wide,
        zero=Decimal(0),
        one=Decimal(1),
        recipes=OnDemand(len(exact.recipes), lambda at: _wide_recipe(exact.recipes[at])),
        products=OnDemand(len(exact.products), lambda at: _wide_product(exact.products[at])),
        slots=tuple(Slot(slot.ingredient, slot.joint, wide(slot.share)) for slot in exact.slots),
        yields=tuple(wide(share) for share in exact.yields),
        waste=wide(exact.waste),
        labor_minute=wide(exact.labor_minute),
        order_overhead=wide(exact.order_overhead),
    )


def _wide_recipe(row: RecipeRow[Fraction]) -> RecipeRow[Decimal]:
    return RecipeRow(
        _wide_pairs(row.subs),
        _wide_pairs(row.uses),
        _wide_pairs(row.varying),
        None if row.limit is None else wide(row.limit),
        None if row.least is None else wide(row.least),
        wide(row.minutes_batch),
        wide(row.minutes_gram),
        wide(row.pay_batch),
        wide(row.pay_gram),
    )


def _wide_product(row: ProductRow[Fraction]) -> ProductRow[Decimal]:
    return ProductRow(
        _wide_pairs(row.fill),
        _wide_pairs(row.packaging),
        wide(row.minutes_load),
        wide(row.minutes_unit),
        wide(row.pay_load),
        wide(row.pay_unit),
        wide(row.station_load),
    )


def _wide_pairs(items: tuple[tuple[int, Fraction], ...]) -> tuple[tuple[int, Decimal], ...]:
    return tuple((at, wide(value)) for at, value in items)
