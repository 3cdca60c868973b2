"""The Book: an immutable snapshot of all that pricing and time need, in the kitchen's own terms.

The record types are defined in one module per concept and can all be imported from here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Protocol, TypeVar

from costing.contract.kitchen import (
    CancellationRow,
    ClosedDay,
    DatedHours,
    Delivery,
    HandOverHours,
    Kitchen,
    Mold,
    MonthlyCost,
    OpenHours,
    Overhead,
    PaymentRow,
    Profile,
    Role,
    Station,
    StationOut,
    Tax,
    TaxRate,
    Vehicle,
    Vessel,
)
from costing.contract.pantry import Composition, Ingredient, Pack, Part, Supplier
from costing.contract.price_rules import PriceRule
from costing.contract.products import Fill, Packaging, Product
from costing.contract.recipes import Recipe, RecipeLine
from costing.contract.steps import ProductLabor, RecipeLabor, StationTime, Step

__all__ = [
    "ONE",
    "ZERO",
    "Book",
    "CancellationRow",
    "ClosedDay",
    "Composition",
    "DatedHours",
    "Delivery",
    "Fill",
    "HandOverHours",
    "Ingredient",
    "Kitchen",
    "Mold",
    "MonthlyCost",
    "OpenHours",
    "Overhead",
    "Pack",
    "Packaging",
    "Part",
    "PaymentRow",
    "PriceRule",
    "Product",
    "ProductLabor",
    "Profile",
    "Recipe",
    "RecipeLabor",
    "RecipeLine",
    "Role",
    "Station",
    "StationOut",
    "StationTime",
    "Step",
    "Supplier",
    "Tax",
    "TaxRate",
    "Vehicle",
    "Vessel",
]

ZERO = Fraction(0)
ONE = Fraction(1)
_CODED = ("roles", "stations", "taxes", "ingredients", "recipes", "products", "price_rules")


class _Coded(Protocol):
    @property
    def code(self) -> str: ...


_C = TypeVar("_C", bound=_Coded)


def _by_code(things: tuple[_C, ...]) -> Mapping[str, _C]:
    return MappingProxyType({thing.code: thing for thing in things})


def _mark_ovens(steps: Iterable[Step], ovens: frozenset[str]) -> None:
    """Let steps know whether they are in an oven: in place, so that a record read before is the same one still."""
    for step in steps:
        if step.at_oven != (step.station in ovens):
            object.__setattr__(step, "at_oven", step.station in ovens)


@dataclass(frozen=True, slots=True, weakref_slot=True)
class Book:
    """Everything that pricing and timing need to know of a kitchen, at one moment.

    Read it with `costing.contract.read_book`, or build it from rows and check it with `costing.contract.check_book`.
    `hours`, `closed` and `days` are None where the Book does not say when somebody works, `hand_over_hours` where it
    does not say when things are picked up or leave.
    """

    currency: str
    kitchen: Kitchen
    roles: tuple[Role, ...] = ()
    stations: tuple[Station, ...] = ()
    taxes: tuple[Tax, ...] = ()
    overhead: Overhead | None = None
    delivery: Delivery | None = None
    ingredients: tuple[Ingredient, ...] = ()
    recipes: tuple[Recipe, ...] = ()
    products: tuple[Product, ...] = ()
    price_rules: tuple[PriceRule, ...] = ()
    hours: tuple[OpenHours, ...] | None = None
    closed: tuple[ClosedDay, ...] | None = None
    monthly_costs: tuple[MonthlyCost, ...] = ()
    molds: tuple[Mold, ...] = ()
    suppliers: tuple[Supplier, ...] = ()
    vessels: tuple[Vessel, ...] = ()
    hand_over_hours: tuple[HandOverHours, ...] | None = None
    days: tuple[DatedHours, ...] | None = None
    vehicles: tuple[Vehicle, ...] = ()
    _index: Mapping[str, Mapping[str, Any]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        ovens = frozenset(station.code for station in self.stations if station.kind == "oven")
        for steps in (*(made.steps for made in self.recipes), *(made.steps for made in self.products)):
            _mark_ovens(steps, ovens)
        index: dict[str, Mapping[str, Any]] = {kind: _by_code(getattr(self, kind)) for kind in _CODED}
        index["molds"] = MappingProxyType({mold.name: mold for mold in self.molds})
        index["vessels"] = MappingProxyType({vessel.name: vessel for vessel in self.vessels})
        object.__setattr__(self, "_index", index)

    def __reduce__(self) -> tuple[Any, ...]:
        return Book, tuple(getattr(self, each.name) for each in fields(self) if each.init)

    def role(self, code: str) -> Role:
        """Return a role by its code.

        Parameters
        ----------
        code : str
            Its code.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Role = self._index["roles"][code]
        return found

    def station(self, code: str) -> Station:
        """Return a station by its code.

        Parameters
        ----------
        code : str
            Its code.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Station = self._index["stations"][code]
        return found

    def tax(self, code: str) -> Tax:
        """Return a tax category by its code.

        Parameters
        ----------
        code : str
            Its code.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Tax = self._index["taxes"][code]
        return found

    def ingredient(self, code: str) -> Ingredient:
        """Return an ingredient by its code.

        Parameters
        ----------
        code : str
            Its code.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Ingredient = self._index["ingredients"][code]
        return found

    def recipe(self, code: str) -> Recipe:
        """Return a recipe by its code.

        Parameters
        ----------
        code : str
            Its code.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Recipe = self._index["recipes"][code]
        return found

    def product(self, code: str) -> Product:
        """Return a product by its code.

        Parameters
        ----------
        code : str
            Its code.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Product = self._index["products"][code]
        return found

    def price_rule(self, code: str) -> PriceRule:
        """Return a price rule by its code.

        Parameters
        ----------
        code : str
            Its code.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: PriceRule = self._index["price_rules"][code]
        return found

    def mold(self, name: str) -> Mold:
        """Return a mold by its name.

        Parameters
        ----------
        name : str
            Its name.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Mold = self._index["molds"][name]
        return found

    def vessel(self, name: str) -> Vessel:
        """Return a vessel by its name.

        Parameters
        ----------
        name : str
            Its name.

        Raises
        ------
        KeyError
            When there is none.
        """
        found: Vessel = self._index["vessels"][name]
        return found
