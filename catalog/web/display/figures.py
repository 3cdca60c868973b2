"""Shares, masses and plain numbers as text. Rounding is for display only, half up."""

from decimal import Context, Decimal, localcontext
from fractions import Fraction
from functools import lru_cache
from typing import Final

from babel.core import Locale
from babel.numbers import NumberPattern, format_decimal, get_decimal_symbol, parse_pattern

from catalog.web.display.settings import current
from costing.measures.units import FACTORS

#: Digits for any figure that can be entered: with fewer, a price of a tiny pack could not be written per pound.
ROOM: Final = Context(prec=400)

Figure = Decimal | Fraction | int | float | str

GRAMS_PER_POUND: Final = FACTORS["lb", "us"]
_GRAMS_PER_OUNCE: Final = FACTORS["oz", "us"]


def exactly(value: Figure) -> Fraction:
    """Return a figure as an exact fraction; a float as the decimal that is printed for it."""
    if type(value) is Fraction:
        return value
    return Fraction(str(value)) if isinstance(value, float) else Fraction(value)


def rounded(value: Figure, digits: int) -> Decimal:
    """Round half up on the absolute value, exactly."""
    exact = exactly(value)
    over, under = exact.numerator, exact.denominator
    whole = (2 * abs(over) * 10**digits + under) // (2 * under)
    return Decimal(-whole if over < 0 else whole).scaleb(-digits, ROOM)


@lru_cache(maxsize=4096)
def _number_text(number: str, shape: str, locale: str) -> str:
    """Write a number. The last texts are kept: a page, and the page after it, say the same numbers again and again."""
    parsed, pattern = _pattern(shape, locale)
    with localcontext(ROOM):
        return str(format_decimal(Decimal(number), format=pattern, locale=parsed))


@lru_cache(maxsize=256)
def _pattern(shape: str, locale: str) -> tuple[Locale, NumberPattern]:
    return Locale.parse(locale), parse_pattern(shape)


def plain(value: Figure | None, digits: int = 3) -> str:
    """Write a number without needless zeros, with at most ``digits`` decimals."""
    if value is None or value == "":
        return ""
    shape = "#,##0." + "#" * digits if digits else "#,##0"
    return _number_text(str(rounded(value, digits)), shape, current().locale)


def in_locale(number: str) -> str:
    """Write a number's text with the decimal sign of the kitchen's locale: 1.28 is 1,28 in a German kitchen."""
    return number.replace(".", get_decimal_symbol(current().locale))


def percent(value: Figure | None, digits: int = 1) -> str:
    """Write a share as a percentage, as the locale does: 0.5274 is 52.7%, or 52,7 %."""
    if value is None or value == "":
        return ""
    locale = current().locale
    shape = _percent_shape(locale, "#,##0." + "0" * digits if digits else "#,##0")
    return _number_text(str(rounded(exactly(value) * 100, digits).scaleb(-2, ROOM)), shape, locale)


def rate(value: Figure | None, digits: int = 3) -> str:
    """Write a share as a percentage without needless zeros: 0.0825 is 8.25%, 0.5 is 50%."""
    if value is None or value == "":
        return ""
    locale = current().locale
    shape = _percent_shape(locale, "#,##0." + "#" * digits)
    return _number_text(str(rounded(exactly(value) * 100, digits).scaleb(-2, ROOM)), shape, locale)


def percentage(value: Figure | None, digits: int = 3) -> str:
    """Write a number of hundredths as a percentage without needless zeros: 8.25 is 8.25%."""
    return "" if value is None or value == "" else rate(exactly(value) / 100, digits)


@lru_cache(maxsize=256)
def _percent_shape(locale: str, number: str) -> str:
    """Return the pattern of percentages in a locale, with as many decimals as the pattern of a number has."""
    shape: str = Locale.parse(locale).percent_formats[None].pattern
    return shape.replace("#,##,##0", number).replace("#,##0", number)


def _stepped(value: Fraction) -> str:
    """Round to three significant figures, which are enough in a kitchen."""
    return plain(value, 2 if abs(value) < 10 else 1 if abs(value) < 100 else 0)


def line_mass(grams: Figure | None) -> str:
    """Write the mass of a recipe's line: to a tenth of a gram, or as :func:`mass` does in a kitchen of pounds."""
    if grams is None or grams == "" or current().measures == "us":
        return mass(grams)
    return f"{plain(grams, 1)} g"


def mass(grams: Figure | None) -> str:
    """Write a mass in the kitchen's measures: g and kg, or oz and lb."""
    if grams is None or grams == "":
        return ""
    exact = exactly(grams)
    if current().measures == "us":
        small = abs(exact) < GRAMS_PER_POUND
        return f"{_stepped(exact / (_GRAMS_PER_OUNCE if small else GRAMS_PER_POUND))} {'oz' if small else 'lb'}"
    small = abs(exact) < 1000
    return f"{_stepped(exact if small else exact / 1000)} {'g' if small else 'kg'}"
