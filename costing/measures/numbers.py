"""Exact numbers: decimals that keep their original text, decimals of 80 digits, and how results are printed."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import lru_cache

DECIMAL_TEXT = re.compile(r"-?[0-9]{1,30}(\.[0-9]{1,30})?")
PRINTED_DECIMALS = 12
DIGITS = 80
WIDE = Context(prec=DIGITS, Emax=999999, Emin=-999999)
"""The context that wide figures are computed in: decimals of `DIGITS` digits."""
_SCALE = 10**PRINTED_DECIMALS
_PLACES = Decimal("1e-40")
_PRINTED = Decimal(10) ** -PRINTED_DECIMALS
_WHOLE_DIGITS = 30


class Number(Fraction):
    """An exact fraction that keeps the decimal text it was read from, so that `0.0800` stays `0.0800`.

    Arithmetic gives plain fractions; two numbers are equal when their values are.
    """

    __slots__ = ("text",)
    text: str

    def __new__(cls, text: str) -> Number:
        if not DECIMAL_TEXT.fullmatch(text):
            raise ValueError(f"“{text}” is not a decimal number such as 12.50.")
        number = super().__new__(cls, text)
        number.text = text
        return number

    def __reduce__(self) -> tuple[type[Number], tuple[str]]:
        return (Number, (self.text,))


class Figure(Fraction):
    """A computed figure, correct to forty decimals: a fraction worked out only when something computes with it.

    Most figures of an Estimate are only written, and a decimal is written far faster than a fraction.

    Parameters
    ----------
    computed : Decimal
        Any figure computed in `WIDE`.
    """

    __slots__ = ("_computed", "_ratio")
    _computed: Decimal
    _ratio: tuple[int, int]

    def __new__(cls, computed: Decimal) -> Figure:
        made = object.__new__(cls)
        made._computed = computed
        return made

    @property
    def wide(self) -> Decimal:
        """The figure as a decimal: of forty decimals, or as it was computed where it is too large for them."""
        value = self._computed
        return value.quantize(_PLACES, None, WIDE) if value.adjusted() < _WHOLE_DIGITS else value

    def as_integer_ratio(self) -> tuple[int, int]:
        try:
            return self._ratio
        except AttributeError:
            self._ratio = self.wide.as_integer_ratio()
            return self._ratio

    # The names by which the arithmetic of fractions reads its operands.
    @property
    def _numerator(self) -> int:
        return self.as_integer_ratio()[0]

    @property
    def _denominator(self) -> int:
        return self.as_integer_ratio()[1]

    def __reduce__(self) -> tuple[type[Fraction], tuple[int, int]]:
        return Fraction, self.as_integer_ratio()

    def __copy__(self) -> Figure:
        return self

    def __deepcopy__(self, _: object) -> Figure:
        return self


@lru_cache(maxsize=16384)
def number(text: str) -> Number:
    """Read an exact decimal such as `12.50` or `-3`.

    Parameters
    ----------
    text : str
        Digits with an optional point and minus sign; no exponent, no commas.

    Returns
    -------
    Number
        The value as an exact fraction that keeps its text.

    Raises
    ------
    ValueError
        When the text is not such a decimal.
    """
    return Number(text)


def number_text(value: Fraction | Decimal | int) -> str:
    """Write an exact decimal in full; a `Number` is written as it was read.

    Parameters
    ----------
    value : Fraction, Decimal or int
        Any number with a finite decimal expansion.

    Returns
    -------
    str
        Without an exponent and, unless it was read with them, without trailing zeros.

    Raises
    ------
    ValueError
        When the value has no finite decimal expansion.
    """
    return value.text if isinstance(value, Number) else exact_text(value)


def exact_text(value: Fraction | Decimal | int) -> str:
    """Write an exact decimal in full without trailing zeros, however it was read.

    Parameters
    ----------
    value : Fraction, Decimal or int
        Any number with a finite decimal expansion.

    Returns
    -------
    str
        Without an exponent.

    Raises
    ------
    ValueError
        When the value has no finite decimal expansion.
    """
    numerator, denominator = value.as_integer_ratio()
    places, scale = 0, 1
    while scale % denominator:
        places += 1
        scale *= 10
        if places > 60:
            raise ValueError(f"{Fraction(value)} has no short decimal form.")
    return _placed(numerator * (scale // denominator), places)


def figure_text(value: Fraction) -> str:
    """Write a computed figure with twelve decimals, trailing zeros left out.

    Parameters
    ----------
    value : Fraction
        Any figure that is not charged.

    Returns
    -------
    str
        Rounded half up on the absolute value at the twelfth decimal.
    """
    if isinstance(value, Figure):
        computed = value._computed
        if computed.adjusted() < _WHOLE_DIGITS:
            # Forty decimals first: what is half by exact arithmetic is then half here too.
            return _plain_text(computed.quantize(_PLACES, None, WIDE).quantize(_PRINTED, ROUND_HALF_UP, WIDE))
    doubled = 2 * _SCALE * value.numerator
    if doubled < 0:
        units = -((-doubled + value.denominator) // (2 * value.denominator))
    else:
        units = (doubled + value.denominator) // (2 * value.denominator)
    return _placed(units, PRINTED_DECIMALS)


def _plain_text(value: Decimal) -> str:
    """Write a decimal that has decimals, without an exponent and trailing zeros."""
    text = str(value)
    if "E" in text:
        text = format(value, "f")
    text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def wide(value: Fraction) -> Decimal:
    """Return a fraction as a decimal of `DIGITS` digits.

    Parameters
    ----------
    value : Fraction
        Any value.
    """
    return WIDE.divide(Decimal(value.numerator), Decimal(value.denominator))


def _placed(units: int, places: int) -> str:
    sign = "-" if units < 0 else ""
    digits = str(abs(units)).rjust(places + 1, "0")
    if not places:
        return sign + digits
    whole, part = digits[:-places], digits[-places:].rstrip("0")
    return sign + whole + ("." + part if part else "")
