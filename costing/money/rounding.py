"""Money in whole minor units: rounding and price steps."""

from __future__ import annotations

from fractions import Fraction

from costing.money.currencies import MINOR_DIGITS


def minor_digits(currency: str) -> int:
    """Return the number of decimals of a currency's minor unit.

    Parameters
    ----------
    currency : str
        ISO 4217 code.

    Returns
    -------
    int
        0, 2, 3 or 4.

    Raises
    ------
    KeyError
        When ISO 4217 lists no such currency with a minor unit.

    References
    ----------
    ISO 4217 (see `costing.money.currencies`).
    """
    return MINOR_DIGITS[currency]


def half_up(value: Fraction) -> int:
    """Round to a whole number, halves away from zero.

    Parameters
    ----------
    value : Fraction
        Any value.

    Returns
    -------
    int
        The nearest whole number; of two equally near, the one farther from zero.

    References
    ----------
    EN 16931 as tested by its official Schematron: rounding on the absolute value.
    """
    return half_up_ratio(value.numerator, value.denominator)


def half_up_ratio(numerator: int, denominator: int) -> int:
    """Round a quotient to a whole number, halves away from zero; see `half_up`.

    Parameters
    ----------
    numerator : int
        Any whole number.
    denominator : int
        Above zero; the two may have common factors.
    """
    units = (2 * abs(numerator) + denominator) // (2 * denominator)
    return units if numerator >= 0 else -units


def to_minor(value: Fraction, digits: int) -> int:
    """Round an amount of money to whole minor units, half up on the absolute value.

    Parameters
    ----------
    value : Fraction
        Amount [currency].
    digits : int
        Decimals of the minor unit.

    Returns
    -------
    int
        Amount [minor units].
    """
    return half_up(value * 10**digits)


def is_minor(value: Fraction, digits: int) -> bool:
    """Return whether an amount is a whole multiple of the minor unit.

    Parameters
    ----------
    value : Fraction
        Amount [currency].
    digits : int
        Decimals of the minor unit.
    """
    scale: int = 10**digits
    return (value * scale).denominator == 1


def step_up(value: Fraction, step: Fraction) -> Fraction:
    """Round an amount up to a whole multiple of the price step.

    Parameters
    ----------
    value : Fraction
        Amount [currency].
    step : Fraction
        Price step, above zero [currency].

    Returns
    -------
    Fraction
        The least multiple of `step` that is not below `value` [currency].
    """
    return -(-value // step) * step
