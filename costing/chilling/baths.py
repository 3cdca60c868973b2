"""Ice baths and stirring: the film inside a filling that is stirred now and then, and the ice a bath takes.

A filling that is stirred every few minutes is one lump of one temperature behind a film of its own. Compared with a
simulation in which it is mixed at once every few minutes, times are 4 to 13 % long, which is the safe side.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt
from typing import Final

from costing.chilling.composition import Food

ICE_WATER_C: Final = 0.5
"""Ice water that is stirred up now and then and never runs out of ice [°C]: 0 to 1; common practice, no source."""

STIRRED_MIN: Final = (1.0, 30.0)
"""How often a filling may be stirred for the film to hold [min]; the simulations it was compared with ran from 2 to
30."""

MELTING_KJ_KG: Final = 334.0
"""Heat that melting ice takes up [kJ/kg]; common tables, from memory."""

_WATER_KJ_KG_K = 4.18
_MIXED = 1e4
_SECONDS = 60.0


def stirred_film(food: Food, every_min: float) -> float:
    """Return the film inside a filling that is mixed every few minutes.

    Parameters
    ----------
    food : Food
        Its properties.
    every_min : float
        How often it is mixed [min].

    Returns
    -------
    float
        Film coefficient between the mixed filling and its vessel [W/m2 K].

    References
    ----------
    Mean flux into a half-space over the time between two mixings (penetration theory): 2 k / sqrt(pi alpha tau).
    """
    return 2 * food.k / sqrt(pi * food.alpha * every_min * _SECONDS)


def as_mixed(food: Food) -> Food:
    """Return a food that conducts so well that it has one temperature all through.

    Parameters
    ----------
    food : Food
        Its properties.

    Returns
    -------
    Food
        As heavy and as warm to heat, but ten thousand times as conductive.
    """
    return replace(food, k=food.k * _MIXED)


def ice_kg(kg: float, food: Food, from_c: float, to_c: float, water_kg: float = 0.0, water_c: float = 0.0) -> float:
    """Return the ice that melts while food cools in its bath.

    Parameters
    ----------
    kg : float
        Mass of the food [kg].
    food : Food
        Its properties.
    from_c : float
        How warm it goes in [°C].
    to_c : float
        How cold it comes out [°C].
    water_kg : float, optional
        Tap water the bath begins with [kg].
    water_c : float, optional
        How warm that water is [°C].

    Returns
    -------
    float
        Ice [kg], without what the room melts.

    References
    ----------
    Heat balance; 0.6 kg of ice for a kilogram of food from 60 to 5 °C.
    """
    heat = kg * food.cp / 1000 * max(0.0, from_c - to_c) + water_kg * _WATER_KJ_KG_K * water_c
    return heat / MELTING_KJ_KG
