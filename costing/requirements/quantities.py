"""The quantities the workings compute: demand of lines, batches of recipes, purchases, costs of lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic

from costing.purchasing.offers import Basket
from costing.requirements.book_tables import N


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
