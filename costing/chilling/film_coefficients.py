"""Film coefficients for the kinds of air, molds and boxes that a kitchen can name."""

from __future__ import annotations

from dataclasses import dataclass

from costing.chilling.bodies import Stage, film_through

ICE_BATH = "ice bath"
"""The way of cooling that is no air: ice water around side and base, up to the level of the food."""


@dataclass(frozen=True, slots=True)
class Films:
    """Film coefficients of a body's faces.

    Parameters
    ----------
    top : float
        Film coefficient at the top [W/m2 K].
    side : float
        Film coefficient at the side [W/m2 K].
    bottom : float
        Film coefficient at the base [W/m2 K].
    source : str
        Where the figures are from.
    """

    top: float
    side: float
    bottom: float
    source: str


@dataclass(frozen=True, slots=True)
class Wall:
    """The wall of a mold.

    Parameters
    ----------
    mm : float
        Its thickness [mm].
    conductivity : float
        Its conductivity [W/m K].
    source : str
        Where the figures are from.
    """

    mm: float
    conductivity: float
    source: str


_NATURAL = "textbook natural convection (Churchill and Chu, horizontal plates) and radiation 4.7 to 6.7, from memory"

AIRS: dict[str, Films] = {
    "room": Films(10, 10, 5, f"{_NATURAL}; a hot body in a room"),
    "still": Films(8, 8, 5, f"{_NATURAL}; a still refrigerator with cold walls gives 8 to 10, a crowded shelf 4 to 6"),
    "fan": Films(20, 20, 10, "forced convection of air at 1 to 3 m/s and radiation 5: 12 to 20, from memory"),
    "blast": Films(35, 35, 15, "strongly turbulent or impinging air; a fair figure for a blast chiller, from memory"),
}
"""Air a body cools in."""

BATH = Films(0, 200, 200, "still ice water around a vessel, 150 to 300, from memory; nothing through the top")
"""Films of an ice bath, before the vessel's wall; the density maximum of water at 4 °C weakens them."""

BATH_TOP_FAST = 10.0
"""Film at the top of an open vessel in an ice bath, at the fast end only [W/m2 K].

Measured (Olds 2013, Roberts 2013): pans 2 in deep in an ice bath fail with meat, chili and tomato sauce and pass with
rice. No film at the top calls all four failures, 10 calls all four passes; so likely and slow take none."""

CARRIED: dict[str, Films] = {
    "bare": Films(9, 9, 5, f"{_NATURAL}; as the warm-up cases computed apart from this project"),
    "carton": Films(3.5, 3.5, 3.0, "still air inside a carton in series with that outside, from memory"),
    "insulated": Films(1.2, 1.2, 1.2, "25 mm of foam and still air inside, from memory"),
}
"""How a body is carried."""

WALLS: dict[str, Wall] = {
    "metal": Wall(0.5, 50.0, "tinned or black steel; conductivity from memory. Aluminium makes no difference"),
    "glass": Wall(5.0, 1.0, "soda-lime or borosilicate glass and china, 0.8 to 1.2 W/m K; from memory"),
    "silicone": Wall(1.5, 0.2, "silicone rubber, 0.2 to 0.3 W/m K; from memory"),
    "plastic": Wall(1.0, 0.2, "polypropylene, PET and polystyrene, 0.12 to 0.25 W/m K; from memory"),
    "card": Wall(0.7, 0.1, "paper and card, 0.05 to 0.15 W/m K; from memory"),
}
"""What molds are made of; the heat the wall itself holds is left out."""

BENEATH: dict[str, float] = {"open": 1.0, "board": 0.0}
"""What a body stands on, to the share of the film that reaches its base [1]: a rack or metal shelf with air under it;
or wood, card, or another tray on which pieces stand side by side, through which hardly anything passes. Own choice, on
the safe side."""

FAST_FILM = 1.3
"""How much stronger films may be than stated [1]; see `ranges.POINTS`."""

COVER_GAP = 7.0
"""Air between food and its lid or film [W/m2 K]: still air with radiation; from memory."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What lies between a body and the air.

    Parameters
    ----------
    wall : str
        What its mold is made of, a key of `WALLS`.
    base : str
        What it stands on, a key of `BENEATH`.
    covered : bool
        Whether it is covered while it cools.
    wall_mm : float or None
        Thickness of the wall [mm]; None: that of `WALLS`.
    lid : bool
        Whether what covers it is a vessel's lid: how much passes was never measured, so at the slow end nothing does.
    """

    wall: str = "metal"
    base: str = "open"
    covered: bool = False
    wall_mm: float | None = None
    lid: bool = False

    def stage(self, air: str, minutes: float, ambient_c: float, stirred_every_min: float | None = None) -> Stage:
        """Return a stage of cooling in these surroundings.

        Parameters
        ----------
        air : str
            A key of `AIRS`, or `ICE_BATH`.
        minutes : float
            How long [min].
        ambient_c : float
            Temperature of the air or the water [°C].
        stirred_every_min : float or None, optional
            How often the food is stirred [min]; None when it stands.

        Returns
        -------
        Stage
            With the films as the food meets them.
        """
        bath = air == ICE_BATH
        films, wall = BATH if bath else AIRS[air], WALLS[self.wall]
        thick = wall.mm if self.wall_mm is None else self.wall_mm
        closed = self.covered or self.lid
        top = 1 / (1 / films.top + 1 / COVER_GAP) if closed and not bath else films.top
        side = film_through(films.side, thick, wall.conductivity)
        bottom = BENEATH[self.base] * film_through(films.bottom, thick, wall.conductivity)
        tops = (0.0, 0.0 if closed else BATH_TOP_FAST) if bath else (0.0, top * FAST_FILM) if self.lid else None
        return Stage(minutes, ambient_c, top, side, bottom, stirred_every_min=stirred_every_min, tops=tops, bath=bath)


UNCOVERED = Surroundings()
"""Uncovered in metal, with air under it."""


def away_stage(carried: str, minutes: float, ambient_c: float) -> Stage:
    """Return a stage out of the cold.

    Parameters
    ----------
    carried : str
        `bare`, `carton` or `insulated`.
    minutes : float
        How long [min].
    ambient_c : float
        The air's temperature outside the box [°C].

    Returns
    -------
    Stage
        With the films as the food meets them.

    Raises
    ------
    KeyError
        For an unknown way of carrying.
    """
    films = CARRIED[carried]
    return Stage(minutes, ambient_c, films.top, films.side, films.bottom)
