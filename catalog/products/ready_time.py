"""How long a product takes from the first step to ready, one load by itself, step after step."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.products.models import Product
from catalog.recipes.cost_basis import CostBasis, grams_or_none
from catalog.recipes.costs import LineProblem, RecipeCosting, batches
from catalog.recipes.models import Recipe, Step

COLD = frozenset({Step.Kind.CHILL, Step.Kind.FREEZE})


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes: in all, of which the hands', of which in the cold."""

    all: Fraction = Fraction(0)
    hands: Fraction = Fraction(0)
    cold: Fraction = Fraction(0)

    def then(self, other: "Times") -> "Times":
        """Return this, and the other after it."""
        return Times(self.all + other.all, self.hands + other.hands, self.cold + other.cold)

    def beside(self, other: "Times") -> "Times":
        """Return this while the other goes on: the hands' time adds up, the longer wait counts."""
        longer = self if self.all >= other.all else other
        return Times(longer.all, self.hands + other.hands, longer.cold)


def product_times(*, product: Product, units: int, basis: CostBasis) -> Times:
    """Add up the steps for one load of these units at most: the recipes beside each other, then the product's own.

    Waiting for a free station and the physics of cooling come on top; the plan of an order counts them.
    """
    load = min(units, product.load or units)
    making = _Making(basis, Recipe.objects.prefetch_related("lines", "steps"))
    for fill in product.fills.all():
        making.ask(fill.recipe.code, (grams_or_none(fill.amount, basis.cup) or Fraction(0)) * load)
    total = Times()
    for fill in product.fills.all():
        total = total.beside(making.times(fill.recipe_id))
    return total.then(_steps(product.steps.all(), Fraction(1), Fraction(load)))


class _Making:
    """The recipes of one load: how much of each, and how long each takes, every one made once."""

    def __init__(self, basis: CostBasis, recipes: Iterable[Recipe]) -> None:
        self.bench = RecipeCosting(basis)
        self.recipes = {row.pk: row for row in recipes}
        self.grams: dict[str, Fraction] = defaultdict(Fraction)
        self._done: set[int] = set()

    def ask(self, code: str, grams: Fraction) -> None:
        """Count in what an amount of a recipe needs; one with an error in it counts for itself only."""
        try:
            demand = self.bench.flow(code).demand
        except LineProblem:
            demand = {code: Fraction(1)}
        for needed, share in demand.items():
            self.grams[needed] += share * grams

    def times(self, pk: int) -> Times:
        """Return the time of a recipe after those in it; what was made already takes no more time."""
        if pk in self._done or pk not in self.recipes:
            return Times()
        self._done.add(pk)
        recipe = self.recipes[pk]
        before = Times()
        for line in recipe.lines.all():
            before = before.beside(self.times(line.component_id or 0))
        grams, limit = self.grams[recipe.code], self.bench.recipes[recipe.code].batch_limit
        return before.then(_steps(recipe.steps.all(), Fraction(batches(grams, limit)), grams / 1000))


def _steps(steps: Iterable[Step], fixed: Fraction, each: Fraction) -> Times:
    total = Times()
    for step in steps:
        hands = Fraction(step.hands_fixed) * fixed + Fraction(step.hands_each) * each
        elapsed = max(hands, _exact(step.minutes)) + _exact(step.wait_min)
        cold = elapsed if step.kind in COLD else Fraction(0)
        total = total.then(Times(elapsed, hands, cold))
    return total


def _exact(minutes: Decimal | None) -> Fraction:
    return Fraction(0) if minutes is None else Fraction(minutes)
