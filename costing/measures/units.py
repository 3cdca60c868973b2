"""The units of a kitchen: their kinds and exact sizes, each with its source.

The sizes are those of the pint definitions in `units.txt`, computed once and written down here, because reading them
takes half a second at every start. A test computes them again.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

Kind = Literal["mass", "volume", "count"]
CupKind = Literal["us", "metric"]


class Unit(NamedTuple):
    """A unit: its name, what it measures, its size in the base unit [g, mL or each], and where the size comes from.

    Cups and spoons have two sizes: `size` in a kitchen with US cups, `metric_size` in one with metric cups.
    """

    name: str
    kind: Kind
    size: Fraction
    source: str
    metric_size: Fraction | None = None


_SI = "SI Brochure, 9th edition, table 7 (prefixes)"
_LITRE = "SI Brochure, 9th edition, table 8 (1 L = 1 dm3)"
_POUND = "NIST SP 811 (2008), B.8: 1 lb = 0.453 592 37 kg exactly, 1 oz = 1/16 lb"
_GALLON = "NIST Handbook 44, appendix C: 1 gal = 231 in3 exactly, 1 in3 = 16.387 064 mL exactly"
_SPOONS = f"{_GALLON}; 1 cup = 1/16 gal, 1 tbsp = 1/16 cup, 1 tsp = 1/3 tbsp. Metric: common practice"
_PINCHES = "common practice: shares of a teaspoon"
_COUNT = "by definition"

ALL: tuple[Unit, ...] = (
    Unit("mg", "mass", Fraction(1, 1000), _SI),
    Unit("g", "mass", Fraction(1), _SI),
    Unit("kg", "mass", Fraction(1000), _SI),
    Unit("oz", "mass", Fraction("28.349523125"), _POUND),
    Unit("lb", "mass", Fraction("453.59237"), _POUND),
    Unit("ml", "volume", Fraction(1), _LITRE),
    Unit("cl", "volume", Fraction(10), _LITRE),
    Unit("l", "volume", Fraction(1000), _LITRE),
    Unit("fl_oz", "volume", Fraction("29.5735295625"), _GALLON),
    Unit("pint", "volume", Fraction("473.176473"), _GALLON),
    Unit("quart", "volume", Fraction("946.352946"), _GALLON),
    Unit("gallon", "volume", Fraction("3785.411784"), _GALLON),
    Unit("cup", "volume", Fraction("236.5882365"), _SPOONS, Fraction(250)),
    Unit("tbsp", "volume", Fraction("14.78676478125"), _SPOONS, Fraction(15)),
    Unit("tsp", "volume", Fraction("4.92892159375"), _SPOONS, Fraction(5)),
    Unit("dash", "volume", Fraction("0.61611519921875"), _PINCHES, Fraction(5, 8)),
    Unit("pinch", "volume", Fraction("0.308057599609375"), _PINCHES, Fraction(5, 16)),
    Unit("each", "count", Fraction(1), _COUNT),
    Unit("dozen", "count", Fraction(12), _COUNT),
)

UNITS: tuple[str, ...] = tuple(unit.name for unit in ALL)
KIND_OF: dict[str, Kind] = {unit.name: unit.kind for unit in ALL}
CUP_UNITS: tuple[str, ...] = tuple(unit.name for unit in ALL if unit.metric_size is not None)
FACTORS: dict[tuple[str, str], Fraction] = {
    (unit.name, cup): unit.metric_size if cup == "metric" and unit.metric_size is not None else unit.size
    for unit in ALL
    for cup in ("us", "metric")
}
"""(unit, cup kind) -> grams, millilitres or pieces in one unit, exact."""
