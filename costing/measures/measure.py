"""Measures: an amount with a unit, read exactly and turned into grams or pieces.

The exact grammar and its parser are this project's own: a general library reads `1 1/2 cup` as half a cup and `pinch`
as a pico-inch. Free spelling on a screen is read by `costing.measures.spelling`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache, partial
from typing import Any

from costing.measures.units import FACTORS, KIND_OF, UNITS, Kind
from costing.measures.units import CupKind as CupKind

VULGAR: dict[str, Fraction] = {
    "¼": Fraction(1, 4),
    "½": Fraction(1, 2),
    "¾": Fraction(3, 4),
    "⅐": Fraction(1, 7),
    "⅑": Fraction(1, 9),
    "⅒": Fraction(1, 10),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
    "⅕": Fraction(1, 5),
    "⅖": Fraction(2, 5),
    "⅗": Fraction(3, 5),
    "⅘": Fraction(4, 5),
    "⅙": Fraction(1, 6),
    "⅚": Fraction(5, 6),
    "⅛": Fraction(1, 8),
    "⅜": Fraction(3, 8),
    "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
}
MAX_LENGTH = 60

_NUMBER = re.compile(
    r"(?P<decimal>[0-9]+(?:\.[0-9]+)?)"
    r"|(?:(?P<whole>[0-9]+) )?(?P<above>[0-9]+)/(?P<below>[0-9]+)"
    rf"|(?:(?P<before>[0-9]+) ?)?(?P<vulgar>[{''.join(VULGAR)}])"
)


_SENTENCES: Mapping[str, str] = {
    "unknown_unit": "“{unit}” is not a unit this kitchen knows. Use one of {units}.",
    "overlong": "“{start}…” is too long for a measure. Write a number, a space and a unit.",
    "unreadable": "“{text}” cannot be read as a measure. Write a number, one space and one of {units}.",
    "bad_number": "“{number}” in “{text}” is not a number that can be measured. Write it like 250, 0.5, 1/2 or 1 1/2.",
    "nothing": "“{text}” is nothing. Write an amount above zero.",
    "no_density": "“{text}” is a volume, and there is no density to turn it into grams.",
    "no_piece_weight": "“{text}” is a count, and there is no weight of one piece to turn it into grams.",
    "empty": "Enter an amount with a unit, such as 250 g or 1 1/2 cup.",
    "no_number": "“{text}” has no number in front. Write it like 250 g or 1 1/2 cup.",
    "no_unit": "“{text}” has no unit. Add one, such as {text} g or {text} each.",
    "stick": "“{text}”: a stick of butter is 4 oz or 1/2 cup. Write one of these, so that it is nothing else.",
    "can": "“{text}”: a can’s number is its size, not a weight. Write what its label says, such as 6 lb 10 oz.",
    "holder": "“{text}” does not say how much is in it. Write what its label says, such as 14 oz or 400 g.",
    "range": "“{text}” is a range. Write one amount.",
    "two_packs": "“{text}” can be a fraction or so many packs. Write {times}, or the fraction as a decimal.",
    "can_number": "“{text}”: write what a can weighs or holds, such as 6 x 106 oz.",
    "two_readings": "“{text}” can be read as {first} or as {second}. Write one of these.",
}


class MeasureError(ValueError):
    """A measure that cannot be read or turned into grams; its text says what is wrong and how to write it.

    Parameters
    ----------
    reason : str
        What is wrong: a key of the sentences above.
    **params : str
        What the sentence is made of: the text, the unit, the number.
    """

    def __init__(self, reason: str, /, **params: str) -> None:
        self.reason, self.params = reason, params
        super().__init__(_SENTENCES[reason].format(**params, units=", ".join(UNITS)))

    def on_screen(self) -> str:
        """Return the sentence with units as people write them: `fl oz`, where a file has `fl_oz`; `#` is read too."""
        units = ", ".join("lb or #" if unit == "lb" else unit.replace("_", " ") for unit in UNITS)
        return _SENTENCES[self.reason].format(**self.params, units=units)

    def __reduce__(self) -> tuple[Any, ...]:
        return partial(type(self), self.reason, **self.params), ()


class NoDensity(MeasureError):
    """A volume of something whose density is not known."""


class NoPieceWeight(MeasureError):
    """A count of something whose piece weight is not known."""


@dataclass(frozen=True, slots=True)
class Measure:
    """An amount with a unit, such as `1 1/2 cup`.

    Parameters
    ----------
    amount : Fraction
        How many of the unit [unit].
    unit : str
        One of `UNITS`.
    text : str, optional
        The measure as it was written; made from amount and unit when left out. Not compared.
    """

    amount: Fraction
    unit: str
    text: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        if self.unit not in KIND_OF:
            raise MeasureError("unknown_unit", unit=self.unit)
        if not self.text:
            object.__setattr__(self, "text", format_measure(self))

    def __str__(self) -> str:
        return self.text

    @property
    def kind(self) -> Kind:
        """Whether this is a mass, a volume or a count."""
        return KIND_OF[self.unit]

    def in_base(self, cup: CupKind = "us") -> Fraction:
        """Return the amount in grams, millilitres or pieces.

        Parameters
        ----------
        cup : {'us', 'metric'}
            Which cup and spoons the kitchen means.

        Returns
        -------
        Fraction
            [g], [mL] or [each], by the measure's kind.
        """
        return self.amount * FACTORS[self.unit, cup]

    def grams(
        self, cup: CupKind = "us", density: Fraction | None = None, grams_each: Fraction | None = None
    ) -> Fraction:
        """Return the amount as a mass.

        Parameters
        ----------
        cup : {'us', 'metric'}
            Which cup and spoons the kitchen means.
        density : Fraction, optional
            Density of the thing measured [g/mL].
        grams_each : Fraction, optional
            Mass of one piece [g].

        Returns
        -------
        Fraction
            [g].

        Raises
        ------
        NoDensity
            A volume without a density.
        NoPieceWeight
            A count without a piece weight.
        """
        base = self.in_base(cup)
        if self.kind == "mass":
            return base
        if self.kind == "volume":
            if density is None:
                raise NoDensity("no_density", text=self.text)
            return base * density
        if grams_each is None:
            raise NoPieceWeight("no_piece_weight", text=self.text)
        return base * grams_each


def _amount(text: str) -> Fraction | None:
    found = _NUMBER.fullmatch(text)
    if found is None:
        return None
    if found["decimal"]:
        return Fraction(found["decimal"])
    if found["below"]:
        if not int(found["below"]):
            return None
        return int(found["whole"] or 0) + Fraction(int(found["above"]), int(found["below"]))
    return int(found["before"] or 0) + VULGAR[found["vulgar"]]


@lru_cache(maxsize=16384)
def parse_measure(text: str) -> Measure:
    """Read a measure in the exact grammar `NUMBER UNIT`.

    Parameters
    ----------
    text : str
        A number (`250`, `0.5`, `1/2`, `1 1/2`, `½`, `1½`, `1 ½`), one space, and a unit in lower case and
        singular.

    Returns
    -------
    Measure
        The exact amount; the text is kept.

    Raises
    ------
    MeasureError
        When the text is not such a measure, or is zero.
    """
    if len(text) > MAX_LENGTH:
        raise MeasureError("overlong", start=text[:20])
    written, _, unit = text.rpartition(" ")
    if unit not in KIND_OF:
        raise MeasureError("unreadable", text=text)
    amount = _amount(written)
    if amount is None:
        raise MeasureError("bad_number", number=written, text=text)
    if not amount:
        raise MeasureError("nothing", text=text)
    return Measure(amount, unit, text)


def format_measure(measure: Measure) -> str:
    """Write a measure so that `parse_measure` reads the same amount back.

    Parameters
    ----------
    measure : Measure
        Any measure.

    Returns
    -------
    str
        A whole number or a short decimal where there is one, else a mixed fraction.
    """
    return f"{_amount_text(measure.amount)} {measure.unit}"


def _amount_text(amount: Fraction) -> str:
    whole, rest = divmod(amount, 1)
    if not rest:
        return str(whole)
    twos_and_fives = rest.denominator
    for prime in (2, 5):
        while twos_and_fives % prime == 0:
            twos_and_fives //= prime
    if twos_and_fives == 1 and 10**12 % rest.denominator == 0:
        digits = str(int(rest * 10**12)).rjust(12, "0").rstrip("0")
        return f"{whole}.{digits}"
    return f"{whole} {rest}" if whole else str(rest)
