"""Exact numbers: decimals that keep their original text, decimals of 80 digits, and how results are printed."""

from __future__ import annotations

import re
from decimal import Context, Decimal
from fractions import Fraction
from functools import lru_cache

DECIMAL_TEXT = re.compile(r"-?[0-9]{1,30}(\.[0-9]{1,30})?")
PRINTED_DECIMALS = 12
DIGITS = 80
WIDE = Context(prec=DIGITS, Emax=999999, Emin=-999999)
"""The context that wide figures are computed in: decimals of `DIGITS` digits."""
_SCALE = 10**PRINTED_DECIMALS
_PLACES = Decimal("1e-40")
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
    if isinstance(value, Number):
        return value.text
    exact = Fraction(value)
    places = 0
    scale = 1
    while (exact * scale).denominator != 1:
        places += 1
        scale *= 10
        if places > 60:
            raise ValueError(f"{exact} has no short decimal form.")
    return _placed(int(exact * scale), places)


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
    doubled = 2 * _SCALE * value.numerator
    if doubled < 0:
        units = -((-doubled + value.denominator) // (2 * value.denominator))
    else:
        units = (doubled + value.denominator) // (2 * value.denominator)
    return _placed(units, PRINTED_DECIMALS)


def wide(value: Fraction) -> Decimal:
    """Return a fraction as a decimal of `DIGITS` digits.

    Parameters
    ----------
    value : Fraction
        Any value.
    """
    return WIDE.divide(Decimal(value.numerator), Decimal(value.denominator))


def figure(value: Decimal) -> Fraction:
    """Return a figure of 80 digits as a fraction, correct to forty decimals.

    Parameters
    ----------
    value : Decimal
        Any figure computed in `WIDE`.
    """
    numerator, denominator = (value.quantize(_PLACES) if value.adjusted() < _WHOLE_DIGITS else value).as_integer_ratio()
    return Fraction(numerator, denominator)


def _placed(units: int, places: int) -> str:
    sign = "-" if units < 0 else ""
    digits = str(abs(units)).rjust(places + 1, "0")
    if not places:
        return sign + digits
    whole, part = digits[:-places], digits[-places:].rstrip("0")
    return sign + whole + ("." + part if part else "")
