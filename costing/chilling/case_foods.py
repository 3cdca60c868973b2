"""Reads what foods of a case consist of, and how warm they start."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from costing.chilling.chill import FREEZES_C
from costing.chilling.composition import COMPONENTS, MOST_AIR, PROPERTY_TEMPERATURE_C, Food, food_of
from costing.chilling.layers import Part, mixed_start
from costing.chilling.mixtures import Share, mixed
from costing.contract.case_reading import Bound, Reading
from costing.contract.errors import Path

PERCENT = "composition_mass_percent"

PREPARATIONS: dict[str, bool] = {"cooked (3-501.14 A)": True, "from ambient ingredients (3-501.14 B)": False}
"""How food is prepared, to whether it is cooked."""

RULES: dict[str, str] = {
    "k": "parallel",
    "air": "Maxwell-Eucken",
    "rho": "1/sum(x/rho)",
    "cp": "mass weighted",
}
"""How properties are mixed: what the text of each begins with."""

_AIR = Bound("The share of air", "", 0, MOST_AIR, "Beyond that there is more foam than food.")
_START = Bound(
    "The temperature at the start", " °C", FREEZES_C, 150, "It is in °C, and thawing is not worked out here."
)
_RULE_C = Bound("The temperature for the properties", " °C", 0, 150)
_WHOLE, _WHOLE_OFF = 100.0, 1.0


@dataclass(frozen=True, slots=True)
class ReadFood:
    """A food as a case has it.

    Parameters
    ----------
    percent : dict of str to float
        Component to percent of its mass [%].
    air : float
        Share of its volume that is air [1].
    initial_c : float
        Temperature all through at minute 0 [°C].
    """

    percent: dict[str, float]
    air: float
    initial_c: float

    def food(self, at_c: float) -> Food:
        """Return its properties.

        Parameters
        ----------
        at_c : float
            Temperature at which they are evaluated [°C].

        Returns
        -------
        Food
            Conductivity, density and specific heat.
        """
        return food_of(self.percent, self.air, at_c)


def read_food(reading: Reading, owner: Mapping[str, Any], path: Path) -> ReadFood:
    """Read a food: composition, air, and how warm it starts.

    Parameters
    ----------
    reading : Reading
        Records errors.
    owner : mapping of str to object
        The object with `composition_mass_percent`, `air_fraction` and `initial_c`.
    path : tuple of str or int
        Its place.

    Returns
    -------
    ReadFood
        The food; of no use when there are errors.
    """
    percent = _composition(reading, owner, path)
    air = reading.number(owner, "air_fraction", path, _AIR)
    return ReadFood(percent, air, reading.number(owner, "initial_c", path, _START))


def _composition(reading: Reading, top: Mapping[str, Any], path: Path) -> dict[str, float]:
    if PERCENT not in top:
        return {}
    before, place = len(reading.errors), (*path, PERCENT)
    owner = reading.object(top[PERCENT], place, (), tuple(COMPONENTS))
    shares = {
        name: reading.number(owner, name, place, Bound(f"The share of {name}", " %", 0, 100)) for name in COMPONENTS
    }
    whole = sum(shares.values())
    if len(reading.errors) == before and abs(whole - _WHOLE) > _WHOLE_OFF:
        reading.note("bad_composition", place, f"The shares add up to {whole:g}%. Make them 100%.")
    return shares


def read_property_rule(reading: Reading, top: Mapping[str, Any]) -> float:
    """Read the temperature at which properties are evaluated.

    Parameters
    ----------
    reading : Reading
        Records errors.
    top : mapping of str to object
        The case.

    Returns
    -------
    float
        Temperature [°C].
    """
    key = "property_rule"
    if key not in top:
        return PROPERTY_TEMPERATURE_C
    owner = reading.object(top[key], (key,), (), ("temperature_c", *RULES))
    for name, begin in RULES.items():
        if name in owner and not str(owner[name]).startswith(begin):
            reading.note(
                "schema",
                (key, name),
                f"The rule for {name} is “{owner[name]}”. Only “{begin}” is offered; write that or leave it out.",
            )
    return reading.number(owner, "temperature_c", (key,), _RULE_C, PROPERTY_TEMPERATURE_C)


def stirred_in(batch: ReadFood, batch_kg: float, added: ReadFood, added_kg: float) -> ReadFood:
    """Return a batch with an addition stirred in.

    Parameters
    ----------
    batch : ReadFood
        The batch.
    batch_kg : float
        Its mass [kg].
    added : ReadFood
        The addition.
    added_kg : float
        Its mass [kg].

    Returns
    -------
    ReadFood
        Composition by mass, air by volume, temperature by heat capacity.
    """
    both = ((batch, batch_kg), (added, added_kg))
    found = mixed([Share(str(at), kg * 1000, one.percent, one.air) for at, (one, kg) in enumerate(both)])
    start = mixed_start([Part(kg, food_of(one.percent, one.air), one.initial_c) for one, kg in both])
    return ReadFood(found.percent, found.air, start)
