"""Products in the Book: formats that are sold, with fill, packaging, steps, mold, and how they cool and keep."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from costing.contract.steps import ProductLabor, StationTime, Step, product_labor, station_time
from costing.measures.measure import Measure

ZERO = Fraction(0)


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
class Product:
    """A format that is sold: fill, packaging, steps and tax.

    `mold` is the name of what it is made in, filled to `fill_height_cm`. `stands_on`, `covered`, `carried` and
    `cooling_rule` say how it cools, is kept cold and is judged; `keeps_hours` is how long it keeps in the cold once
    ready. `active` is false for what is no longer sold.
    """

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
    steps: tuple[Step, ...] = ()
    list_price: Fraction | None = None
    description: str = ""
    mold: str | None = None
    fill_height_cm: Fraction | None = None
    keeps_hours: Fraction | None = None
    holding: str = ""
    stands_on: str = "open"
    covered: bool = False
    carried: str = "carton"
    cooling_rule: str = ""
    active: bool = True

    def __str__(self) -> str:
        return self.name

    @property
    def labor(self) -> tuple[ProductLabor, ...]:
        """The hands its steps take."""
        return product_labor(self.steps)

    @property
    def station_time(self) -> tuple[StationTime, ...]:
        """How long one load keeps the stations of its steps."""
        return station_time(self.steps)
