"""Products in the Book: formats that are sold, with fill, packaging, steps, mold, cooling and shelf life."""

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
    """A format that is sold.

    Parameters
    ----------
    code, name : str
        Code, and name for people.
    category : str
        Category that price rules may name.
    servings : int
        Servings in one unit [each].
    tax : str
        Code of its tax.
    sale_multiple : int
        It is sold in multiples of this [each].
    spare : Fraction
        Spares made beyond the units ordered [share].
    load : int, optional
        Units made at once [each]; any number where it is None.
    fill : tuple of Fill
        Recipes in one unit.
    packaging : tuple of Packaging
        What one unit is packed in.
    steps : tuple of Step
        How it is made.
    list_price : Fraction, optional
        Price of one unit, used instead of the rules' price [currency].
    description : str
        Description for customers.
    mold : str, optional
        Name of the mold it is made in.
    fill_height_cm : Fraction, optional
        How high the mold is filled [cm].
    keeps_hours : Fraction, optional
        How long it keeps in the cold once ready [h].
    holding : str
        How to keep it, in words.
    stands_on : {'open', 'board'}
        What it stands on while it cools.
    covered : bool
        Whether it is covered while it cools.
    carried : {'bare', 'carton', 'insulated'}
        How it is carried and set up.
    cooling_rule : {'', 'cooked', 'ambient'}
        Which rule its cooling is judged by; its steps say where it is empty.
    active : bool
        False for what is no longer sold.
    load_places : tuple of (str, int)
        Kind of a station and the places one load takes there, sorted; one place at a kind that is not listed.
    mold_free_after : int, optional
        Number of the step, from 1, after which its mold is free again; None: after the last one.
    mold_leaves : bool
        Whether the mold leaves with the customer.
    mold_back_days : int, optional
        Days after the event until a mold that left is back or replaced; None where it does not come back.
    usual_pieces : Fraction, optional
        Pieces of it for each guest where nothing is chosen yet [each]; None where it is not usual.
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
    load_places: tuple[tuple[str, int], ...] = ()
    mold_free_after: int | None = None
    mold_leaves: bool = False
    mold_back_days: int | None = None
    usual_pieces: Fraction | None = None

    def __str__(self) -> str:
        return self.name

    def places_at(self, kind: str) -> int:
        """Return how many places one load takes at a station.

        Parameters
        ----------
        kind : str
            Kind of the station.
        """
        return dict(self.load_places).get(kind, 1)

    @property
    def labor(self) -> tuple[ProductLabor, ...]:
        """The hands its steps take."""
        return product_labor(self.steps)

    @property
    def station_time(self) -> tuple[StationTime, ...]:
        """How long one load occupies the stations of its steps."""
        return station_time(self.steps)
