"""What a batch stands in while it cools: tubs, hotel pans, sheet trays, pots, buckets and bowls, and how high it fills.

A bowl is computed as the upright cylinder around what is in it: as high as the filling, as wide as its surface. The
cylinder holds more, so the bowl is never computed too cold: against finite volumes of the bowl itself, from a shallow
one to a half-sphere, in air and in ice water, times to 57, 21 and 5 °C are 11 to 38 % long.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, pi, sqrt
from typing import Final

from costing.chilling.bodies import Block, Body, Cylinder
from costing.chilling.film_coefficients import WALLS, Surroundings

BRIMFUL = 0.9
"""Up to which part of its depth a vessel is filled [1]; more spills when it is carried or stirred, and leaves no room
for a lid. Common practice, no source."""

_LITRE = 1e6
_HALVINGS = 60
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class VesselKind:
    """A kind of vessel.

    Parameters
    ----------
    sizes : tuple of str
        Names of the sizes it is described by, of a `Vessel`.
    wall : str
        What it is usually made of, a key of `WALLS`.
    walls_mm : dict of str to float
        What it may be made of, to the usual thickness of that wall [mm].
    """

    sizes: tuple[str, ...]
    wall: str
    walls_mm: dict[str, float]


_BOX, _ROUND = ("length_mm", "width_mm", "depth_mm"), ("diameter_mm", "depth_mm")
_WALLS_MM = {"metal": 0.8, "plastic": 2.5, "glass": 5.0, "silicone": 1.5, "card": 0.7}

HOTEL_PAN, SHEET_TRAY = "hotel pan", "sheet tray"
"""Codes of kinds, in cooling cases and tables."""

VESSEL_KINDS: Final[dict[str, VesselKind]] = {
    "tub": VesselKind(_BOX, "plastic", _WALLS_MM),
    HOTEL_PAN: VesselKind(_BOX, "metal", _WALLS_MM),
    SHEET_TRAY: VesselKind(_BOX, "metal", {**_WALLS_MM, "metal": 1.0}),
    "pot": VesselKind(_ROUND, "metal", {**_WALLS_MM, "metal": 1.5}),
    "bucket": VesselKind(_ROUND, "plastic", _WALLS_MM),
    "bowl": VesselKind(_ROUND, "metal", _WALLS_MM),
}
"""Kinds of vessels. Thickness of walls: common practice, no source; what plastic conducts is in `WALLS`, at the lower
end: Dickerson and Read (1973) found an eighth of an inch of plastic to act like an eighth of an inch more food."""


@dataclass(frozen=True, slots=True)
class Vessel:
    """A vessel, by its inside sizes.

    Parameters
    ----------
    kind : str
        A key of `VESSEL_KINDS`.
    depth_mm : float
        Depth [mm].
    length_mm : float
        Length of a tub, pan or tray [mm].
    width_mm : float
        Width of a tub, pan or tray [mm].
    diameter_mm : float
        Diameter of a pot or bucket, or of a bowl's rim [mm].
    wall : str
        What it is made of, a key of `WALLS`; empty: what its kind usually is.
    wall_mm : float or None
        Thickness of its wall [mm]; None: the usual one.
    lid : bool
        Whether its lid is on while it cools.
    """

    kind: str
    depth_mm: float
    length_mm: float = 0.0
    width_mm: float = 0.0
    diameter_mm: float = 0.0
    wall: str = ""
    wall_mm: float | None = None
    lid: bool = False

    @property
    def litres(self) -> float:
        """How much it holds, full to the brim [l]."""
        return self.litres_to(self.depth_mm)

    def litres_to(self, height_mm: float) -> float:
        """Return how much it holds up to a height.

        Parameters
        ----------
        height_mm : float
            Height of the filling [mm].

        Returns
        -------
        float
            Volume [l].
        """
        if self.kind == "bowl":
            return pi * height_mm**2 * (3 * self._curve_mm - height_mm) / 3 / _LITRE
        return self._floor_mm2 * height_mm / _LITRE

    def height_of(self, litres: float) -> float:
        """Return how high it is filled.

        Parameters
        ----------
        litres : float
            Volume of the filling [l].

        Returns
        -------
        float
            Height of the filling [mm]; beyond the depth where it does not fit.
        """
        if self.kind != "bowl":
            return litres * _LITRE / self._floor_mm2
        if litres >= self.litres:
            return self.depth_mm * litres / self.litres
        low, high = 0.0, self.depth_mm
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (low, middle) if self.litres_to(middle) > litres else (middle, high)
        return high

    def body(self, height_mm: float) -> Body:
        """Return the body of a filling.

        Parameters
        ----------
        height_mm : float
            Height of the filling [mm].

        Returns
        -------
        Cylinder or Block
            The filling's shape; of a bowl the cylinder around it.
        """
        if self.diameter_mm == 0:
            return Block(self.length_mm, self.width_mm, height_mm)
        return Cylinder(self._widest_mm(height_mm) if self.kind == "bowl" else self.diameter_mm, height_mm)

    def surroundings(self, base: str = "open") -> Surroundings:
        """Return what lies between its filling and the air or the water.

        Parameters
        ----------
        base : str, optional
            What it stands on, a key of `BENEATH`.

        Returns
        -------
        Surroundings
            For stages of cooling.
        """
        usual = VESSEL_KINDS[self.kind]
        wall = self.wall or usual.wall
        thick = usual.walls_mm.get(wall, WALLS[wall].mm) if self.wall_mm is None else self.wall_mm
        return Surroundings(wall, base, self.lid, thick, self.lid)

    @property
    def _floor_mm2(self) -> float:
        return self.length_mm * self.width_mm if self.diameter_mm == 0 else pi * self.diameter_mm**2 / 4

    @property
    def _curve_mm(self) -> float:
        """The radius of the sphere that a bowl is a part of."""
        return (self.diameter_mm**2 / 4 + self.depth_mm**2) / (2 * self.depth_mm)

    def _widest_mm(self, height_mm: float) -> float:
        within = min(height_mm, self._curve_mm)
        return 2 * sqrt(within * (2 * self._curve_mm - within))


class DoesNotFit(Exception):
    """More is to go into vessels than they hold.

    Parameters
    ----------
    vessel : Vessel
        The vessel.
    count : int
        How many of it.
    kg : float
        What is to go in [kg].
    holds_kg : float
        What one holds [kg].
    needed : int
        How many would do.
    """

    def __init__(self, vessel: Vessel, count: int, kg: float, holds_kg: float, needed: int) -> None:
        self.vessel, self.count, self.kg, self.holds_kg, self.needed = vessel, count, kg, holds_kg, needed
        super().__init__("overfull")


@dataclass(frozen=True, slots=True)
class Fill:
    """A batch in vessels, equally divided.

    Parameters
    ----------
    vessel : Vessel
        The vessel.
    count : int
        How many of it.
    kg : float
        The whole batch [kg].
    rho : float
        Its density [kg/m3].
    height_mm : float
        How high each is filled [mm].
    """

    vessel: Vessel
    count: int
    kg: float
    rho: float
    height_mm: float

    @property
    def each_kg(self) -> float:
        """What goes into each vessel [kg]."""
        return self.kg / self.count

    @property
    def is_brimful(self) -> bool:
        """Whether each is filled nearer to its rim than `BRIMFUL`."""
        return self.height_mm > self.vessel.depth_mm * BRIMFUL * (1 + _ROUNDING)

    @property
    def body(self) -> Body:
        """The body that cools."""
        return self.vessel.body(self.height_mm)


def holds_kg(vessel: Vessel, rho: float, height_mm: float | None = None) -> float:
    """Return how much a vessel holds.

    Parameters
    ----------
    vessel : Vessel
        The vessel.
    rho : float
        Density of the filling [kg/m3].
    height_mm : float or None, optional
        Up to which height [mm]; None: to the brim.

    Returns
    -------
    float
        Mass [kg].
    """
    height = vessel.depth_mm if height_mm is None else min(height_mm, vessel.depth_mm)
    return vessel.litres_to(height) * rho / 1000


def vessels_needed(vessel: Vessel, kg: float, rho: float, height_mm: float | None = None) -> int:
    """Return into how many vessels a batch has to be divided.

    Parameters
    ----------
    vessel : Vessel
        The vessel.
    kg : float
        The whole batch [kg].
    rho : float
        Its density [kg/m3].
    height_mm : float or None, optional
        Up to which height each may be filled [mm]; None: to the brim.

    Returns
    -------
    int
        At least 1.
    """
    return max(1, ceil(kg / holds_kg(vessel, rho, height_mm) * (1 - _ROUNDING)))


def filled(vessel: Vessel, kg: float, rho: float, count: int = 1) -> Fill:
    """Fill a batch into vessels, equally divided.

    Parameters
    ----------
    vessel : Vessel
        The vessel.
    kg : float
        The whole batch [kg].
    rho : float
        Its density [kg/m3].
    count : int, optional
        How many vessels.

    Returns
    -------
    Fill
        With the height in each.

    Raises
    ------
    DoesNotFit
        When the vessels are too small for it.
    """
    needed = vessels_needed(vessel, kg, rho)
    if needed > count:
        raise DoesNotFit(vessel, count, kg, holds_kg(vessel, rho), needed)
    return Fill(vessel, count, kg, rho, vessel.height_of(kg / count / rho * 1000))


def divided(fill: Fill, count: int) -> Fill:
    """Divide a batch over another number of the same vessels.

    Parameters
    ----------
    fill : Fill
        The batch.
    count : int
        How many vessels.

    Returns
    -------
    Fill
        With the height in each.

    Raises
    ------
    DoesNotFit
        When so few vessels do not hold it.
    """
    return filled(fill.vessel, fill.kg, fill.rho, count)
