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
    """A component that products are made of.

    Parameters
    ----------
    code, name : str
        Code, and name for people.
    lines : tuple of RecipeLine
        Its lines: ingredients, parts and recipes.
    loss : Fraction
        What is lost in making [share of the mass that goes in].
    batch_limit : Measure, optional
        Most that is made at once (a mass).
    batch_min : Measure, optional
        Least that is made at all (a mass).
    steps : tuple of Step
        How it is made.
    note : str
        A free note.
    air : Fraction
        Air whipped into it [share of the volume].
    loss_of : {'water', 'all'}
        Whether only water is lost, or every component alike.
    active : bool
        False for what is no longer made.
    shelf_stable : bool
        Whether its maker says that it is safe at room temperature, so that it need not get cold.
    shelf_stable_source : str
        Who says so, and by what: a measurement, or a letter of a laboratory or authority.
    never_hot : bool
        Whether its maker says that nothing heats it while it is made; asked only where no step states heat.
    never_hot_reason : str
        What is used instead of cooking, where what it holds, or what it is called, is cooked as a rule.
    kg_per_place : Fraction, optional
        How much of a batch waits on one place in the cold [kg]; None: a batch takes one place.
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
    shelf_stable: bool = False
    shelf_stable_source: str = ""
    never_hot: bool = False
    never_hot_reason: str = ""
    kg_per_place: Fraction | None = None

    def __str__(self) -> str:
        return self.name

    @property
    def labor(self) -> tuple[RecipeLabor, ...]:
        """The hands its steps take."""
        return recipe_labor(self.steps)
