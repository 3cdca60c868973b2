"""Thermal properties of a food from its composition.

The six components' properties are polynomials of temperature (Choi and Okos 1986); a food's are mixed from them. They
are evaluated at `PROPERTY_TEMPERATURE_C`, because conduction is solved with constant properties. Compared with
temperature-dependent properties the error is about 2 % of the time to 57 °C and 1 % of the time to 5 °C.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from costing.contract import cooling_bounds

Polynomial = tuple[float, float, float]
"""Constant, slope and square coefficient of a temperature in °C."""

COMPONENTS: dict[str, dict[str, Polynomial]] = {
    "water": {
        "k": (0.57109, 1.7625e-3, -6.7036e-6),
        "rho": (997.18, 3.1439e-3, -3.7574e-3),
        "cp": (4.1762, -9.0864e-5, 5.4731e-6),
    },
    "protein": {
        "k": (0.17881, 1.1958e-3, -2.7178e-6),
        "rho": (1329.9, -0.5184, 0.0),
        "cp": (2.0082, 1.2089e-3, -1.3129e-6),
    },
    "fat": {
        "k": (0.18071, -2.7604e-4, -1.7749e-7),
        "rho": (925.59, -0.41757, 0.0),
        "cp": (1.9842, 1.4733e-3, -4.8008e-6),
    },
    "carb": {
        "k": (0.20141, 1.3874e-3, -4.3312e-6),
        "rho": (1599.1, -0.31046, 0.0),
        "cp": (1.5488, 1.9625e-3, -5.9399e-6),
    },
    "fibre": {
        "k": (0.18331, 1.2497e-3, -3.1683e-6),
        "rho": (1311.5, -0.36589, 0.0),
        "cp": (1.8459, 1.8306e-3, -4.6509e-6),
    },
    "ash": {
        "k": (0.32962, 1.4011e-3, -2.9069e-6),
        "rho": (2423.8, -0.28063, 0.0),
        "cp": (1.0926, 1.8896e-3, -3.6817e-6),
    },
}
"""Choi and Okos 1986 (Ibarz and Barbosa-Cánovas; also as printed by ASHRAE 2006, Refrigeration, chapter 9, table 1),
for 0 to 150 °C: conductivity k [W/m K], density rho [kg/m3], specific heat cp [kJ/kg K] against temperature [°C].

Two coefficients are misprinted in places. Water's specific heat begins 4.1762, not 4.1289: only the former gives the
specific heats of ASHRAE's table 3. Fat's conductivity falls by 2.7604e-4 per degree; ten times as steep, it would be
nearly nothing at 65 °C.
"""

PROPERTY_TEMPERATURE_C = 30.0
"""Where properties are taken [°C]: the temperature that best stands for cooling from 70 to 5 °C; own comparison with
properties that change."""

AIR_CONDUCTIVITY = 0.026
"""Conductivity of air at about 25 °C [W/m K]; common tables, from memory."""

MOST_AIR = float(cooling_bounds.MOST_AIR)
"""Most air [volume fraction]: round bubbles of one size touch there, and the rule for separate bubbles ends."""


@dataclass(frozen=True, slots=True)
class Food:
    """The thermal properties of a food.

    Parameters
    ----------
    k : float
        Conductivity [W/m K].
    rho : float
        Density [kg/m3].
    cp : float
        Specific heat [J/kg K].
    """

    k: float
    rho: float
    cp: float

    @property
    def alpha(self) -> float:
        """Thermal diffusivity [m2/s]."""
        return self.k / (self.rho * self.cp)


def component(name: str, quantity: str, temperature_c: float) -> float:
    """Return one property of one component.

    Parameters
    ----------
    name : str
        Water, protein, fat, carb, fibre or ash.
    quantity : str
        `k` [W/m K], `rho` [kg/m3] or `cp` [kJ/kg K].
    temperature_c : float
        Temperature [°C], 0 to 150.

    Returns
    -------
    float
        The property.

    Raises
    ------
    KeyError
        For another component or quantity.
    """
    constant, slope, square = COMPONENTS[name][quantity]
    return constant + temperature_c * (slope + temperature_c * square)


def mass_fractions(percent: Mapping[str, float]) -> dict[str, float]:
    """Convert percentages by mass to fractions that add up to one.

    Parameters
    ----------
    percent : mapping of str to float
        Component to percent of the food's mass [%]; they need not add up to 100 exactly.

    Returns
    -------
    dict of str to float
        Component to mass fraction [1].

    Raises
    ------
    ValueError
        When all percentages are zero, one is negative or a component is unknown.
    """
    unknown = sorted(set(percent) - set(COMPONENTS))
    whole = sum(percent.values())
    if unknown or whole <= 0 or min(percent.values()) < 0:
        raise ValueError(f"A composition is a share of {', '.join(COMPONENTS)}, none below 0; this one is {percent}.")
    return {name: share / whole for name, share in percent.items() if share}


def parallel_conductivity(fractions: Mapping[str, float], temperature_c: float) -> float:
    """Mix conductivities by volume, as if the components lay side by side along the flow.

    Parameters
    ----------
    fractions : mapping of str to float
        Component to mass fraction [1].
    temperature_c : float
        Temperature [°C].

    Returns
    -------
    float
        Conductivity [W/m K].

    References
    ----------
    Carson, Wang, North and Cleland 2016 recommend the parallel rule for all but air.
    """
    volumes = {name: share / component(name, "rho", temperature_c) for name, share in fractions.items()}
    flow = sum(volume * component(name, "k", temperature_c) for name, volume in volumes.items())
    return flow / sum(volumes.values())


def with_bubbles(conductivity: float, air_fraction: float) -> float:
    """Reduce a conductivity for dispersed air bubbles.

    Parameters
    ----------
    conductivity : float
        Conductivity without air [W/m K].
    air_fraction : float
        Share of the volume that is air [1].

    Returns
    -------
    float
        Conductivity [W/m K].

    References
    ----------
    Maxwell and Eucken: the rule for spheres apart from one another in a continuous substance.
    """
    twice, bubbles = 2 * conductivity, air_fraction * (conductivity - AIR_CONDUCTIVITY)
    return conductivity * (twice + AIR_CONDUCTIVITY - 2 * bubbles) / (twice + AIR_CONDUCTIVITY + bubbles)


def food_of(
    percent: Mapping[str, float], air_fraction: float = 0.0, temperature_c: float = PROPERTY_TEMPERATURE_C
) -> Food:
    """Compute a food's thermal properties.

    Parameters
    ----------
    percent : mapping of str to float
        Component to percent of the food's mass [%].
    air_fraction : float, optional
        Share of the volume that is air [1], 0 to `MOST_AIR`.
    temperature_c : float, optional
        Temperature at which the properties are evaluated [°C].

    Returns
    -------
    Food
        Conductivity, density and specific heat.

    Raises
    ------
    ValueError
        For an invalid composition, or air out of bounds.

    References
    ----------
    ASHRAE Refrigeration, "Thermal properties of foods": specific heat by mass, density from volumes.
    """
    if not 0 <= air_fraction <= MOST_AIR:
        raise ValueError(f"Air is 0 to {MOST_AIR} of the volume, not {air_fraction}.")
    fractions = mass_fractions(percent)
    volume = sum(share / component(name, "rho", temperature_c) for name, share in fractions.items())
    heat = sum(share * component(name, "cp", temperature_c) for name, share in fractions.items())
    solid = parallel_conductivity(fractions, temperature_c)
    return Food(with_bubbles(solid, air_fraction), (1 - air_fraction) / volume, heat * 1000)
