"""The shape of a dessert, and the stages of air it passes through."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Direction:
    """One direction of heat flow, with coordinates from 0 to 1.

    Parameters
    ----------
    kind : str
        `radial`: from the axis to the side; `half`: from the mid-plane to a side; `height`: from base to top.
    mm : float
        Its length [mm].
    """

    kind: Literal["radial", "half", "height"]
    mm: float


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A round cake, ring or cup.

    Parameters
    ----------
    diameter_mm : float
        Diameter [mm].
    height_mm : float
        Height [mm].
    """

    diameter_mm: float
    height_mm: float

    @property
    def sideways(self) -> tuple[Direction, ...]:
        """The directions towards the side, from the axis."""
        return (Direction("radial", self.diameter_mm / 2),)


@dataclass(frozen=True, slots=True)
class Slab:
    """A layer so wide that its edges can be neglected.

    Parameters
    ----------
    height_mm : float
        Thickness [mm].
    """

    height_mm: float

    @property
    def sideways(self) -> tuple[Direction, ...]:
        """The directions towards the side: none."""
        return ()


@dataclass(frozen=True, slots=True)
class Block:
    """A loaf, bar or square cake.

    Parameters
    ----------
    length_mm : float
        Length [mm].
    width_mm : float
        Width [mm].
    height_mm : float
        Height [mm].
    """

    length_mm: float
    width_mm: float
    height_mm: float

    @property
    def sideways(self) -> tuple[Direction, ...]:
        """The directions towards the sides, from the middle."""
        return (Direction("half", self.length_mm / 2), Direction("half", self.width_mm / 2))


Body = Cylinder | Slab | Block


def directions_of(body: Body) -> tuple[Direction, ...]:
    """Return all directions of a body; the height is the last.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    tuple of Direction
        One to three.
    """
    return (*body.sideways, Direction("height", body.height_mm))


@dataclass(frozen=True, slots=True)
class Stage:
    """A time in air or ice water of one temperature.

    Parameters
    ----------
    minutes : float
        How long [min].
    ambient_c : float
        The air's temperature [°C].
    h_top : float
        Film coefficient at the top [W/m2 K]; 0 is insulated.
    h_side : float
        Film coefficient at the side [W/m2 K]; a slab has none.
    h_bottom : float
        Film coefficient at the base [W/m2 K].
    stirred_every_min : float or None
        How often the food is stirred [min]; None when it stands.
    tops : tuple of float or None
        Film coefficient at the top at the slow and at the fast end [W/m2 K]; None where it varies as the others do.
    bath : bool
        Whether it stands in ice water, which does not get colder than 0 °C.
    """

    minutes: float
    ambient_c: float
    h_top: float
    h_side: float
    h_bottom: float
    _: KW_ONLY
    stirred_every_min: float | None = None
    tops: tuple[float, float] | None = None
    bath: bool = False


def films(stage: Stage, direction: Direction) -> tuple[float, float]:
    """Return the film coefficients at the two ends of a direction.

    Parameters
    ----------
    stage : Stage
        The stage.
    direction : Direction
        A direction of the body.

    Returns
    -------
    tuple of float
        At coordinates 0 and 1 [W/m2 K]; 0 at an axis or mid-plane.
    """
    return (stage.h_bottom, stage.h_top) if direction.kind == "height" else (0.0, stage.h_side)


def film_through(h: float, thickness_mm: float, conductivity: float) -> float:
    """Reduce a film coefficient for a layer between food and air: a crust, a tin, a carton.

    Parameters
    ----------
    h : float
        Film coefficient outside the layer [W/m2 K], above 0.
    thickness_mm : float
        Thickness of the layer [mm].
    conductivity : float
        Conductivity of the layer [W/m K], above 0.

    Returns
    -------
    float
        Film coefficient as the food meets it [W/m2 K].

    References
    ----------
    Resistances in series; the heat capacity of the layer is neglected.
    """
    return 1 / (1 / h + thickness_mm / 1000 / conductivity)
