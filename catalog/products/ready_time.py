"""How long one load of a product takes from its first step until it is ready, step after step."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from catalog.recipes.cost_basis import CostBasis, grams_or_none
from catalog.recipes.costs import LineProblem, RecipeCosting, batches
from costing.contract import Book, Step
from costing.contract.steps import COLD
from costing.timing.steps import hands_minutes, turn_minutes


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes in total, of hands, and in the cold."""

    all: Fraction = Fraction(0)
    hands: Fraction = Fraction(0)
    cold: Fraction = Fraction(0)

    def then(self, other: Times) -> Times:
        """Return the times of this followed by the other."""
        return Times(self.all + other.all, self.hands + other.hands, self.cold + other.cold)

    def beside(self, other: Times) -> Times:
        """Return the times of both in parallel: minutes of hands are summed, the longer total counts."""
        longer = self if self.all >= other.all else other
        return Times(longer.all, self.hands + other.hands, longer.cold)


def product_times(*, book: Book, product: str, units: int, basis: CostBasis) -> Times:
    """Add up the steps for one load of these units at most: the recipes beside each other, then the product's own.

    The Book may have errors; its steps are used all the same. Waiting for a free station and cooling are not included;
    the timing of an order includes cooling.
    """
    record = book.product(product)
    load = min(units, record.load or units)
    making = _Making(book, basis)
    for fill in record.fill:
        making.ask(fill.recipe, (grams_or_none(fill.amount.text, basis.cup) or Fraction(0)) * load)
    total = Times()
    for fill in record.fill:
        total = total.beside(making.times(fill.recipe))
    return total.then(_steps(record.steps, 1, Fraction(load)))


class _Making:
    """The recipes of one load: the amount and time of each; every recipe is made once."""

    def __init__(self, book: Book, basis: CostBasis) -> None:
        self.bench = RecipeCosting(basis)
        self.book = book
        self.grams: dict[str, Fraction] = defaultdict(Fraction)
        self._done: set[str] = set()

    def ask(self, code: str, grams: Fraction) -> None:
        """Add the needs of an amount of a recipe; a recipe with an error counts without its components."""
        try:
            demand = self.bench.flow(code).demand
        except LineProblem:
            demand = {code: Fraction(1)}
        for needed, share in demand.items():
            self.grams[needed] += share * grams

    def times(self, code: str) -> Times:
        """Return the time of a recipe including its components; a component already made takes no more time."""
        if code in self._done:
            return Times()
        self._done.add(code)
        recipe = self.book.recipe(code)
        before = Times()
        for line in recipe.lines:
            if line.recipe is not None:
                before = before.beside(self.times(line.recipe))
        grams, limit = self.grams[code], self.bench.recipes[code].batch_limit
        return before.then(_steps(recipe.steps, batches(grams, limit), grams / 1000))


def _steps(steps: Iterable[Step], times: int, amount: Fraction) -> Times:
    total = Times()
    for step in steps:
        elapsed = turn_minutes(step, times, amount)
        cold = elapsed if step.kind in COLD else Fraction(0)
        total = total.then(Times(elapsed, hands_minutes(step, times, amount), cold))
    return total
