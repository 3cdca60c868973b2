"""Measures in free spelling, as people write them on a screen, converted to the exact grammar.

Only screens use this module: pint reads the spellings of units from `units.txt`. Loading pint takes half a second, so
it is loaded when somebody writes the first measure, not when a process starts. The number before the unit is parsed
here (pint reads `1 1/2 cup` as half a cup).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from costing.measures.measure import VULGAR, MeasureError, parse_measure
from costing.measures.units import KIND_OF

if TYPE_CHECKING:
    import pint

_SPLIT = re.compile(rf"([0-9.,/\s{''.join(VULGAR)}]*)(.*)", re.DOTALL)


@cache
def registry() -> pint.UnitRegistry[Fraction]:
    """Return the units' sizes and spellings, and nothing else; read once."""
    import pint  # half a second, see above

    return pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), non_int_type=Fraction)


def normalise_measure(text: str) -> str:
    """Convert a measure in free spelling to the exact grammar.

    Parameters
    ----------
    text : str
        For example `1 1/2 cups`, `250g`, `½ tsp.`, `2 LBS`, `1,000 g`, `1,5 kg`, `12 fl. oz`.

    Returns
    -------
    str
        The same measure in the grammar `parse_measure` reads. Text already in that grammar comes back as it is.

    Raises
    ------
    MeasureError
        With a sentence that names what was written and how to write it.
    """
    tidy = " ".join(text.replace("\u2044", "/").replace("\u00a0", " ").replace("\u202f", " ").split())
    if not tidy:
        raise MeasureError("empty")
    found = _SPLIT.fullmatch(tidy)
    written, named = (found[1].strip(), found[2]) if found else ("", tidy)
    if not written:
        raise MeasureError("no_number", text=tidy)
    if not named:
        raise MeasureError("no_unit", text=tidy)
    unit = unit_named(named)
    if unit is None:
        raise MeasureError("unknown_unit", unit=named)
    return parse_measure(f"{_number_written(written, tidy)} {unit}").text


def unit_named(spelling: str) -> str | None:
    """Return the unit that a spelling names; None when it names none.

    Parameters
    ----------
    spelling : str
        For example `Tablespoons`, `lbs`, `fl. oz.`.

    Returns
    -------
    str or None
        One of `costing.measures.units.UNITS`.
    """
    name = "_".join(spelling.lower().replace(".", " ").split())
    found = {unit for _, unit, _ in registry().parse_unit_name(name)}
    return next(iter(found & KIND_OF.keys()), None)


def _number_written(written: str, tidy: str) -> str:
    number = re.sub(r"\s*/\s*", "/", written)
    number = re.sub(r"(?<![0-9])\.(?=[0-9])", "0.", number)
    if "," not in number:
        return number
    if re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?", number):
        return number.replace(",", "")
    # A thousands separator is followed by three digits, so a comma before fewer digits, or after a zero, is the decimal
    # point.
    if re.fullmatch(r"[0-9]+,[0-9]{1,2}|0,[0-9]+", number):
        return number.replace(",", ".")
    raise MeasureError("two_readings", text=tidy)
