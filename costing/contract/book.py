"""The Book: an immutable snapshot of all that pricing needs, in the kitchen's own terms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Literal, Protocol, TypeVar

from costing.measures.measure import CupKind, Measure

ZERO = Fraction(0)
ONE = Fraction(1)


class _Coded(Protocol):
    @property
    def code(self) -> str: ...


_C = TypeVar("_C", bound=_Coded)


def _by_code(things: tuple[_C, ...]) -> Mapping[str, _C]:
    return MappingProxyType({thing.code: thing for thing in things})


@dataclass(frozen=True, slots=True)
class Kitchen:
    """How this kitchen measures, rounds and charges."""

    price_step: Fraction
    cup: CupKind = "us"
    waste: Fraction = ZERO
    prices: Literal["net", "gross"] = "net"
    floor_margin: Fraction = ZERO
    order_minimum: Fraction = ZERO
    rush_rate: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class Overhead:
    """Overhead rates [currency per paid labor hour; currency per order]."""

    per_labor_hour: Fraction = ZERO
    per_order: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class Role:
    """A kind of work with its pay [currency/h] and on-cost [share of pay]."""

    code: str
    hourly: Fraction
    on_cost: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class Station:
    """A place that does work by itself, with its overhead [currency/h]."""

    code: str
    kind: str
    hourly: Fraction


@dataclass(frozen=True, slots=True)
class TaxRate:
    """A rate [share] and the first supply date it holds for."""

    rate: Fraction
    start: date


@dataclass(frozen=True, slots=True)
class Tax:
    """A tax category with its dated rates."""

    code: str
    rates: tuple[TaxRate, ...]

    def rate_on(self, day: date) -> Fraction | None:
        """Give the rate in force on a supply date, or None when none is yet.

        Parameters
        ----------
        day : date
            Supply date.
        """
        begun = [rate for rate in self.rates if rate.start <= day]
        return max(begun, key=lambda rate: rate.start).rate if begun else None


@dataclass(frozen=True, slots=True)
class Delivery:
    """How delivery is paid, charged and taxed."""

    role: str
    per_km: Fraction
    margin: Fraction
    tax: str


@dataclass(frozen=True, slots=True)
class Part:
    """A share of the as-purchased mass of an ingredient, such as juice or yolk."""

    code: str
    share: Fraction
    density: Fraction | None = None
    grams_each: Fraction | None = None
    joint: str | None = None


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack as bought: size, dated price [currency], and whether it is the preferred one."""

    size: Measure
    price: Fraction
    start: date
    end: date | None = None
    supplier: str | None = None
    preferred: bool = False

    def in_force(self, day: date) -> bool:
        """Tell whether the price holds on a costing date.

        Parameters
        ----------
        day : date
            Costing date; the last day of the price counts.
        """
        return self.start <= day and (self.end is None or day <= self.end)


@dataclass(frozen=True, slots=True)
class Ingredient:
    """What is bought: by mass (`base` g) or only counted (`base` each)."""

    code: str
    name: str
    base: Literal["g", "each"] = "g"
    density: Fraction | None = None
    grams_each: Fraction | None = None
    yield_: Fraction = ONE
    charge: Literal["used", "packs"] = "used"
    parts: tuple[Part, ...] = ()
    packs: tuple[Pack, ...] = ()
    allergens: tuple[str, ...] = ()

    def part(self, code: str) -> Part:
        """Give a part by its code.

        Parameters
        ----------
        code : str
            Code of the part.

        Raises
        ------
        KeyError
            When the ingredient has no such part.
        """
        for part in self.parts:
            if part.code == code:
                return part
        raise KeyError(code)

    def amount_of(self, measure: Measure, cup: CupKind, part: str | None = None) -> Fraction:
        """Turn a measure of this ingredient, or of a part of it, into its base unit.

        Parameters
        ----------
        measure : Measure
            What is measured.
        cup : {'us', 'metric'}
            The kitchen's cup.
        part : str, optional
            Code of the part that is measured.

        Returns
        -------
        Fraction
            [g], or [each] for an ingredient that is only counted.

        Raises
        ------
        MeasureError
            When density or piece weight is missing.
        """
        if self.base == "each":
            return measure.in_base(cup)
        if part is None:
            return measure.grams(cup, self.density, self.grams_each)
        piece = self.part(part)
        density = self.density if piece.density is None else piece.density
        return measure.grams(cup, density, piece.grams_each)


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """A line of a recipe: an ingredient, a part of one, or another recipe."""

    amount: Measure
    ingredient: str | None = None
    part: str | None = None
    recipe: str | None = None


@dataclass(frozen=True, slots=True)
class RecipeLabor:
    """Hands a recipe takes [min per batch; min per kg made]."""

    role: str
    per_batch: Fraction = ZERO
    per_kg: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class Recipe:
    """A component: its lines, process loss, batch limits and labor."""

    code: str
    name: str
    lines: tuple[RecipeLine, ...]
    loss: Fraction = ZERO
    batch_limit: Measure | None = None
    batch_min: Measure | None = None
    labor: tuple[RecipeLabor, ...] = ()


@dataclass(frozen=True, slots=True)
class Fill:
    """How much of a recipe goes into one unit (a mass)."""

    recipe: str
    amount: Measure


@dataclass(frozen=True, slots=True)
class Packaging:
    """What one unit is packed in."""

    ingredient: str
    amount: Measure


@dataclass(frozen=True, slots=True)
class ProductLabor:
    """Hands a product takes [min per load; min per unit made]."""

    role: str
    per_load: Fraction = ZERO
    per_unit: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class StationTime:
    """How long one load keeps a station [min]."""

    station: str
    minutes_per_load: Fraction


@dataclass(frozen=True, slots=True)
class Product:
    """A format that is sold: fill, packaging, labor, station time and tax."""

    code: str
    name: str
    category: str
    servings: int
    tax: str
    sale_multiple: int = 1
    spare: Fraction = ZERO
    load: int | None = None
    fill: tuple[Fill, ...] = ()
    packaging: tuple[Packaging, ...] = ()
    labor: tuple[ProductLabor, ...] = ()
    station_time: tuple[StationTime, ...] = ()
    list_price: Fraction | None = None


@dataclass(frozen=True, slots=True)
class PriceRule:
    """A target margin [share of the net price] and for what it holds."""

    code: str
    margin: Fraction
    product: str | None = None
    category: str | None = None
    customer_kind: str | None = None
    from_units: int = 0
    minimum: Fraction = ZERO


@dataclass(frozen=True, slots=True, weakref_slot=True)
class Book:
    """All that pricing needs to know of a kitchen, at one moment.

    Read it with `costing.contract.read_book`, or build it from rows and hold it against `costing.contract.check_book`.
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
    _index: Mapping[str, Mapping[str, Any]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        kinds = ("roles", "stations", "taxes", "ingredients", "recipes", "products", "price_rules")
        object.__setattr__(self, "_index", {kind: _by_code(getattr(self, kind)) for kind in kinds})

    def __reduce__(self) -> tuple[Any, ...]:
        return (
            Book,
            (
                self.currency,
                self.kitchen,
                self.roles,
                self.stations,
                self.taxes,
                self.overhead,
                self.delivery,
                self.ingredients,
                self.recipes,
                self.products,
                self.price_rules,
            ),
        )

    def role(self, code: str) -> Role:
        """Give a role by its code; KeyError when there is none."""
        found: Role = self._index["roles"][code]
        return found

    def station(self, code: str) -> Station:
        """Give a station by its code; KeyError when there is none."""
        found: Station = self._index["stations"][code]
        return found

    def tax(self, code: str) -> Tax:
        """Give a tax category by its code; KeyError when there is none."""
        found: Tax = self._index["taxes"][code]
        return found

    def ingredient(self, code: str) -> Ingredient:
        """Give an ingredient by its code; KeyError when there is none."""
        found: Ingredient = self._index["ingredients"][code]
        return found

    def recipe(self, code: str) -> Recipe:
        """Give a recipe by its code; KeyError when there is none."""
        found: Recipe = self._index["recipes"][code]
        return found

    def product(self, code: str) -> Product:
        """Give a product by its code; KeyError when there is none."""
        found: Product = self._index["products"][code]
        return found

    def price_rule(self, code: str) -> PriceRule:
        """Give a price rule by its code; KeyError when there is none."""
        found: PriceRule = self._index["price_rules"][code]
        return found
