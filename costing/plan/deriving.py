"""A kitchen's own problem, from its Book: loads of what its orders' tables take, and the components these are made of.

Loads of one product are alike and full ones are placed each by itself. Where it is asked for, one that is not full may
serve several orders that leave within half a day, while it keeps and has room; not where the mold leaves with the
customer, nor where nobody states what a load is. A recipe's batches are made as the plan needs them: for several
products and several orders where keeping time and bowl allow it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from math import ceil
from typing import Final

from costing.contract import Book, Product, Step
from costing.contract.steps import COLD
from costing.plan.book_kitchen import first_cold_vehicle, most_people
from costing.plan.grid import GRID_MIN
from costing.plan.makings import ALONE_MIN, LOADS, Amount, Cold, Makings, Taken, mold_of
from costing.plan.problem import HANDS, VEHICLE, Batch, Component, Element, Making, Order, SizeOnDemand, Span, Use
from costing.requirements.compiled_book import CompiledBook, compile_book
from costing.timing.steps import hands_minutes

SHARES: Final = (Fraction(1, 8), Fraction(1, 4), Fraction(1, 2), Fraction(3, 4), Fraction(1))
"""Sizes of a batch, as shares of the most that is made at once."""
LEAST_G: Final = 250
"""The smallest size of what has no such limit [g]; each one after it is half as large again."""
MOST_G: Final = 1_000_000
"""Sizes reach so far [g], farther where more is needed: a plan's batches stay what they are when orders come and go."""

APART_MIN: Final = 12 * 60
"""So long after the first of its orders leaves, the last that a load serves may leave [min]: of one day; own choice."""

DRIVE: Final = "drive"
COLD_DRIVE: Final = "drive/cold"
"""What a drive is called; one that needs a refrigerated vehicle."""

RecipeCold = Callable[[str, int], Cold]
"""Code of a recipe, and how much of it is made at once [g] -> how long cooling makes its steps."""


SharedLoad = tuple[str, int, bool]
"""Code of a product, units, and whether waits that nobody stated may be long."""


@dataclass(frozen=True, slots=True)
class Trip:
    """The drive that takes an order to its place: there, setting up, and back.

    Parameters
    ----------
    minutes : int
        From leaving the kitchen until the vehicle and its people are back [min].
    people : int
        How many are away.
    cold : bool
        Whether it has to be a refrigerated vehicle, where the kitchen has one.
    unstated : int
        So many of the minutes are a default, because nobody entered the way [min].
    """

    minutes: int
    people: int
    cold: bool = False
    unstated: int = 0


@dataclass(frozen=True, slots=True)
class Table:
    """What an order takes.

    Parameters
    ----------
    code : str
        The order's number.
    units : mapping of str to int
        Code of a product -> units ordered [each].
    windows : tuple of (int, int)
        When it may leave [min].
    trip : Trip or None
        The drive; None for what is picked up.
    begun : mapping of str to tuple of int
        Code of a product, or `recipe:` and that of a recipe -> when loads or batches of it began to cool, as records
        say [min].
    """

    code: str
    units: Mapping[str, int]
    windows: tuple[Span, ...]
    trip: Trip | None = None
    begun: Mapping[str, tuple[int, ...]] = field(default_factory=dict)


class Deriving:
    """Makes orders and components from a Book.

    Parameters
    ----------
    book : Book
        A sound Book.
    product_cold : mapping of str to mapping of int to CoolingTime
        Code of a product -> how long cooling makes its steps.
    recipe_cold : callable
        The same of a recipe's batch of a size.
    lax : bool
        Whether waits that nobody stated may be long, so that a no rests on what is stated alone.
    share : bool
        Whether loads that are not full may serve several orders; else each has its own.
    known : dict or None
        How loads are made that serve several orders, worked out before from the same Book; more are added.
    """

    def __init__(
        self,
        book: Book,
        product_cold: Mapping[str, Cold],
        recipe_cold: RecipeCold,
        *,
        lax: bool = False,
        share: bool = False,
        known: dict[SharedLoad, Making] | None = None,
    ) -> None:
        self.share = share
        self._known = {} if known is None else known
        self.book = book
        self.compiled: CompiledBook = compile_book(book)
        self.lax = lax
        self.makings = Makings(book, most_people(book), lax)
        self._product_cold, self._recipe_cold = product_cold, recipe_cold

    def order(self, table: Table) -> Order:
        """Return an order with its drive, if it is delivered, and a batch for each load.

        Parameters
        ----------
        table : Table
            What it takes; products of the Book.

        Raises
        ------
        KeyError
            When a product is not in the Book.
        """
        batches = (batch for code in sorted(table.units) for batch in self._batches(table, self.book.product(code)))
        return Order(table.code, table.windows, (*self._drive(table), *batches))

    def _batches(self, table: Table, product: Product) -> Iterator[Batch]:
        """Yield each load of a product; of one that may serve other orders too, what is taken."""
        for number, amount in enumerate(self._amounts(product, self._made(product, table.units[product.code])), 1):
            code = f"{table.code}/{product.code}/{number}"
            cooled = self._cooled(table, f"{LOADS}{product.code}", product.steps, number)
            if self.share and shared(product, amount):
                within = tuple(self._within(table, product))
                yield Batch(code, self.makings.of_share(product, amount, cooled, within))
                continue
            making = self._load(product, amount, table)
            full = product.load is not None and amount.units == product.load
            yield Batch(code, making, begun=_position(making, cooled), kind="" if full else product.code)

    def _within(self, table: Table, product: Product) -> Iterator[tuple[str, str, int]]:
        """Yield what records of an order say of the recipes that a load takes: recipe, step, and when it began."""
        for recipe, _ in self.compiled.exact.products[self.compiled.product_at[product.code]].fill:
            one = self.compiled.recipes[recipe]
            code = f"recipe:{one.code}"
            for number in range(1, len(table.begun.get(code, ())) + 1):
                cooled = self._cooled(table, code, one.steps, number)
                if cooled is not None:
                    yield code, *cooled

    def _cooled(self, table: Table, code: str, steps: Sequence[Step], number: int = 1) -> tuple[str, int] | None:
        """Return the step in which a load or batch began to cool, and when, by records: the first is the first's."""
        kind, _, name = code.partition(":")
        times = table.begun.get(name if kind == "product" else code, ())
        known = self._product_cold.get(name, {}) if kind == "product" else {}
        cold = [*known, *(at for at, step in enumerate(steps) if step.kind in COLD)]
        return None if number > len(times) or not cold else (f"{code}/{min(cold)}", times[number - 1])

    def _drive(self, table: Table) -> Iterator[Batch]:
        """Yield the drive: a vehicle and people, from when the order leaves until they are back.

        What nobody stated of its time proves no no.
        """
        trip = table.trip
        if trip is None or trip.minutes <= 0:
            return
        among = first_cold_vehicle(self.book) if trip.cold else 0
        vehicles = (Use(VEHICLE, 1, among or 0),)
        people = () if trip.people <= 0 else (Use(HANDS, trip.people, while_there=True),)
        whole = -(-trip.minutes // GRID_MIN) * GRID_MIN
        least = whole - trip.unstated if self.lax else whole
        drive = Element(COLD_DRIVE if among else DRIVE, least, whole, (*vehicles, *people), attended=False)
        yield Batch(f"{table.code}/{DRIVE}", Making((drive,)), after=least)

    def components(self, tables: Iterable[Table]) -> tuple[Component, ...]:
        """Return what the loads of some tables are made of, directly or through others, users first.

        Parameters
        ----------
        tables : iterable of Table
            What all orders take.
        """
        made = [
            (self.book.product(code), self._made(self.book.product(code), units))
            for table in tables
            for code, units in sorted(table.units.items())
        ]
        grams: dict[int, Fraction] = {}
        for product, count in made:
            for recipe, each in self.compiled.exact.products[self.compiled.product_at[product.code]].fill:
                grams[recipe] = grams.get(recipe, Fraction(0)) + each * count
        return (*self._shared_loads(made), *self._recipes(grams))

    def _shared_loads(self, made: Iterable[tuple[Product, int]]) -> Iterator[Component]:
        """Yield the loads that may serve several orders, in every size: what other orders take changes none of them."""
        loads = {
            product.code: product
            for product, count in made
            if self.share and any(shared(product, amount) for amount in self._amounts(product, count))
        }
        for code, product in sorted(loads.items()):
            make = partial(self._shared_load, product)
            sizes = (SizeOnDemand(units, make) for units in range(1, (product.load or 0) + 1))
            yield Component(f"{LOADS}{code}", tuple(sizes), apart=APART_MIN)

    def _shared_load(self, product: Product, units: int) -> Making:
        key = (product.code, units, self.lax)
        if key not in self._known:
            self._known[key] = self._load(product, Amount(Fraction(units)))
        return self._known[key]

    def _recipes(self, grams: dict[int, Fraction]) -> Iterator[Component]:
        """Yield the components for so much of each recipe, and of what these take."""
        for recipe, row in enumerate(self.compiled.exact.recipes):  # each stands before what it uses
            if recipe not in grams:
                continue
            yield self._component(recipe, ceil(grams[recipe]))
            made = grams[recipe] if row.least is None else max(row.least, grams[recipe])
            for sub, each in row.subs:
                grams[sub] = grams.get(sub, Fraction(0)) + each * made

    def _component(self, recipe: int, needed: int) -> Component:
        limit, code = self.compiled.exact.recipes[recipe].limit, self.compiled.recipes[recipe].code
        sizes = sorted({ceil(limit * share) for share in SHARES}) if limit is not None else _up_to(max(needed, MOST_G))
        make = partial(self._batch, recipe)
        return Component(f"recipe:{code}", tuple(SizeOnDemand(grams, make) for grams in sizes))

    def _batch(self, recipe: int, grams: int) -> Making:
        row, made = self.compiled.exact.recipes[recipe], Fraction(grams)
        if row.least is not None:
            made = max(made, row.least)
        one = self.compiled.recipes[recipe]
        taken = [part for sub, each in row.subs for part in self._parts(0, sub, each * made)]
        return self.makings.of_recipe(one, made / 1000, self._recipe_cold(one.code, ceil(made)), taken)

    def _made(self, product: Product, units: int) -> int:
        """Return how many are made for so many ordered, with spares."""
        return self.compiled.line_demand(self.compiled.product_at[product.code], units).made

    def _load(self, product: Product, amount: Amount, table: Table | None = None) -> Making:
        """Return how one load is made; of a ``table`` records may say when what it takes began to cool."""
        fill = self.compiled.exact.products[self.compiled.product_at[product.code]].fill
        taken = [
            part
            for recipe, grams in fill
            for part in self._parts(self._step_of(product, recipe), recipe, grams * amount.units, table)
        ]
        return self.makings.of_product(product, amount, self._product_cold.get(product.code, {}), taken)

    def _amounts(self, product: Product, made: int) -> Sequence[Amount]:
        """Return how much each load is: as its product says, else what its molds take.

        What has no load of its own is divided until nobody stands at it too long.
        """
        if product.load is not None:
            whole, rest = divmod(made, product.load)
            return [Amount(Fraction(product.load))] * whole + [Amount(Fraction(rest))] * bool(rest)
        mold = mold_of(product, self.book)
        longest = max((hands_minutes(step, 1, Fraction(made)) for step in product.steps), default=Fraction(0))
        count = max(1, ceil(longest / ALONE_MIN), 0 if mold is None else ceil(Fraction(made, max(1, mold.owned))))
        count = min(made, count)
        whole, more = divmod(made, count)
        return [Amount(Fraction(whole + (number < more)), Fraction(1, count)) for number in range(count)]

    def _step_of(self, product: Product, recipe: int) -> int:
        """Return the step that takes a recipe; the first where none says so."""
        code = self.compiled.recipes[recipe].code
        return next((number for number, step in enumerate(product.steps) if code in step.takes), 0)

    def _parts(self, step: int, recipe: int, grams: Fraction, table: Table | None = None) -> Iterator[Taken]:
        """Yield what a step takes of a recipe, in parts that one batch can give."""
        limit, one = self.compiled.exact.recipes[recipe].limit, self.compiled.recipes[recipe]
        count = 1 if limit is None else max(1, ceil(grams / limit))
        code = f"recipe:{one.code}"
        for number in range(1, count + 1) if grams > 0 else ():
            cooled = None if table is None else self._cooled(table, code, one.steps, number)
            yield Taken(step, code, _whole(grams / count, limit), cooled)


def shared(product: Product, amount: Amount) -> bool:
    """Return whether a load may serve other orders too: it is not full, and no mold leaves with it.

    Parameters
    ----------
    product : Product
        Of the Book.
    amount : Amount
        Units in the load.
    """
    return product.load is not None and amount.units < product.load and not product.mold_leaves


def _position(making: Making, cooled: tuple[str, int] | None) -> tuple[int, int] | None:
    """Return a step's position and when it began."""
    names = [element.name for element in making.elements]
    return None if cooled is None or cooled[0] not in names else (names.index(cooled[0]), cooled[1])


def _up_to(needed: int) -> list[int]:
    sizes = [LEAST_G]
    while sizes[-1] < needed:
        sizes.append(-(-sizes[-1] * 3 // 2))
    return sizes


def _whole(grams: Fraction, limit: Fraction | None) -> int:
    """Return whole grams, rounded up, but not above what one batch gives."""
    return max(1, ceil(grams) if limit is None else min(ceil(grams), ceil(limit)))
