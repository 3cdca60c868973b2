"""Amounts that mean something only of one food: sticks of butter, ounces of what is poured."""

import re
from fractions import Fraction
from typing import Final

from costing.measures.figures import POINT, NumberFormat
from costing.measures.measure import Measure, MeasureError, format_measure, parse_measure
from costing.measures.spelling import normalise_measure

#: A stick of butter weighs 4 oz: USDA SR28 01001 and 01145 state 113 g for "1 stick" (``usda_sr28.csv``); 16 oz in four
#: sticks is common practice, no source.
STICK_OZ: Final = 4
_STICKS: Final = re.compile(r"(?P<number>.*\S)\s*sticks?\.?", re.IGNORECASE | re.DOTALL)
_BUTTER: Final = frozenset({"butter", "margarine"})
#: Butters that are no butter, and come in jars.
_OTHER_BUTTER: Final = frozenset(
    {"almond", "apple", "cashew", "clarified", "cocoa", "cookie", "hazelnut", "nut", "peanut", "pistachio", "shea"}
)
#: What is poured: its ounces are often meant by volume (common practice, no source).
_POURED: Final = frozenset(
    {"buttermilk", "brandy", "coffee", "cream", "espresso", "juice", "milk", "oil", "rum", "water", "wine"}
)
_NOT_POURED: Final = frozenset(
    {"cheese", "chocolate", "condensed", "dried", "dry", "powder", "powdered", "sour", "tartar"}
)


def sticks_in_ounces(text: str, written: NumberFormat = POINT) -> str | None:
    """Return so many sticks of butter as ounces in the exact grammar: ``8 oz`` for ``2 sticks``; None for others."""
    found = _STICKS.fullmatch(text.strip()[:60])
    if found is None:
        return None
    try:
        count = parse_measure(normalise_measure(" ".join((found["number"], "each")), written)).amount
    except MeasureError:
        return None
    return format_measure(Measure(count * Fraction(STICK_OZ), "oz"))


def is_butter(name: str) -> bool:
    """Whether a name is one of butter or margarine, which are sold in sticks."""
    words = _words(name)
    return bool(words & _BUTTER) and not words & _OTHER_BUTTER


def pours(name: str) -> bool:
    """Whether a name is one of something that is poured, so that its ounces can be meant by volume."""
    words = _words(name)
    return bool(words & _POURED) and not words & _NOT_POURED


def _words(name: str) -> frozenset[str]:
    return frozenset(re.findall(r"\w+", name.casefold()))
