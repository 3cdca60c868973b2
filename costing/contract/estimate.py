"""The Estimate: the quantities of an order, their costs and the charges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Generic, Literal, NamedTuple, TypeVar

from costing.contract.errors import Params
from costing.contract.explanations import Explanation
from costing.contract.sentences import ESTIMATE, sentence

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class LineEstimate:
    """One line of the order [currency, min, units]."""

    product: str
    units: int
    made: int
    servings: int
    ingredients: Fraction
    packaging: Fraction
    labor: Fraction
    overhead: Fraction
    cost: Fraction
    unit_cost: Fraction
    labor_minutes: Fraction
    loads: int
    rule: str
    target_price: Fraction
    basis: Literal["given", "list", "rule"]
    unit_price: Fraction
    amount: Fraction
    net: Fraction
    margin: Fraction | None


class RecipeEstimate(NamedTuple):
    """One recipe in the whole order [g, min]."""

    recipe: str
    grams: Fraction
    batches: int
    labor_minutes: Fraction


@dataclass(frozen=True, slots=True)
class PackCount:
    """How many of one pack to buy."""

    size: str
    count: int


class IngredientEstimate(NamedTuple):
    """One ingredient in the whole order [g or each, currency]; packs only where packs are charged."""

    ingredient: str
    base: Literal["g", "each"]
    ready: Fraction
    as_purchased: Fraction
    cost: Fraction
    packs: tuple[PackCount, ...] | None = None
    leftover: Fraction | None = None
    leftover_value: Fraction | None = None


@dataclass(frozen=True, slots=True)
class DeliveryEstimate:
    """The trip to the place and back [min, currency]."""

    labor_minutes: Fraction
    cost: Fraction
    price: Fraction


@dataclass(frozen=True, slots=True)
class TaxEstimate:
    """One tax code: its rate [share] and amounts [currency]."""

    code: str
    rate: Fraction
    taxable: Fraction
    tax: Fraction


@dataclass(frozen=True, slots=True)
class Totals:
    """Totals and margins [currency, share]; a margin is None where there is no revenue."""

    goods: Fraction
    surcharge: Fraction
    discount: Fraction
    top_up: Fraction
    delivery: Fraction
    extras: Fraction
    taxes: tuple[TaxEstimate, ...]
    revenue: Fraction
    total: Fraction
    cost: Fraction
    goods_margin: Fraction | None
    order_margin: Fraction | None
    below_floor: bool


@dataclass(frozen=True, slots=True)
class Advice:
    """A warning for the owner; nothing is refused because of it.

    Parameters
    ----------
    code : {'below_floor', 'below_target', 'leftover', 'more_costs_less'}
        What it is.
    at : str
        `book#` or `brief#` and a JSON pointer.
    params : mapping of str to str, int, Fraction, date or tuple of str
        What its sentence is made of: names, codes, units, margins [share].
    """

    code: Literal["below_floor", "below_target", "leftover", "more_costs_less"]
    at: str
    params: Params = field(hash=False)

    @property
    def message(self) -> str:
        """The English sentence."""
        return sentence(ESTIMATE, self.code, self.params)


@dataclass(frozen=True, slots=True)
class MadeAndBought:
    """What the kitchen makes and buys for an order."""

    recipes: tuple[RecipeEstimate, ...]
    ingredients: tuple[IngredientEstimate, ...]


@dataclass(frozen=True, slots=True)
class AlreadyComputed(Generic[T]):
    """A callable that returns a value computed before, for Estimates that are pickled."""

    value: T

    def __call__(self) -> T:
        return self.value


@dataclass(frozen=True, eq=False)
class Estimate:
    """The computed order. Charged money is exact; other figures are correct to at least thirty decimals.

    Recipes, ingredients and warnings are computed when they are first read, because a price list needs none of them.
    """

    currency: str
    lines: tuple[LineEstimate, ...]
    delivery: DeliveryEstimate | None
    totals: Totals
    allergens: dict[str, tuple[str, ...]]
    advice: Callable[[], tuple[Advice, ...]] = field(repr=False)
    made_and_bought: Callable[[], MadeAndBought] = field(repr=False)
    explanations: dict[str, Explanation] | None = field(default=None, repr=False)

    @cached_property
    def _kitchen(self) -> MadeAndBought:
        return self.made_and_bought()

    @cached_property
    def warnings(self) -> tuple[Advice, ...]:
        """Warnings for the owner."""
        return self.advice()

    @property
    def recipes(self) -> tuple[RecipeEstimate, ...]:
        """What the kitchen makes, sorted by code."""
        return self._kitchen.recipes

    @property
    def ingredients(self) -> tuple[IngredientEstimate, ...]:
        """What the kitchen buys, sorted by code."""
        return self._kitchen.ingredients

    def _compared(self) -> tuple[object, ...]:
        allergens = sorted(self.allergens.items())
        return self.currency, self.lines, self.delivery, self.totals, allergens, self.warnings, self._kitchen

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Estimate) and self._compared() == other._compared()

    def __hash__(self) -> int:
        return hash((self.currency, self.lines, self.totals))

    def __reduce__(self) -> tuple[type[Estimate], tuple[object, ...]]:
        state = (self.currency, self.lines, self.delivery, self.totals, self.allergens)
        return Estimate, (*state, AlreadyComputed(self.warnings), AlreadyComputed(self._kitchen), self.explanations)

    def line(self, product: str) -> LineEstimate:
        """Return the line of a product.

        Parameters
        ----------
        product : str
            Code of the product.

        Raises
        ------
        KeyError
            When the order has no such line.
        """
        for line in self.lines:
            if line.product == product:
                return line
        raise KeyError(product)
