"""Recipes in the Book: lines, process loss, batch limits, steps."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from costing.contract.steps import RecipeLabor, Step, recipe_labor
from costing.measures.measure import Measure

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """A line of a recipe: an ingredient, a part of one, or another recipe."""

    amount: Measure
    ingredient: str | None = None
    part: str | None = None
    recipe: str | None = None


@dataclass(frozen=True, slots=True)
class Recipe:
    """A component: its lines, process loss, batch limits and steps.

    `air` is the share of its volume that is air, whipped in; `loss_of` what the loss is of, water or all of it alike;
    `active` is false for what is no longer made.
    """

    code: str
    name: str
    lines: tuple[RecipeLine, ...]
    loss: Fraction = ZERO
    batch_limit: Measure | None = None
    batch_min: Measure | None = None
    steps: tuple[Step, ...] = ()
    note: str = ""
    air: Fraction = ZERO
    loss_of: str = "water"
    active: bool = True

    @property
    def labor(self) -> tuple[RecipeLabor, ...]:
        """The hands its steps take."""
        return recipe_labor(self.steps)
