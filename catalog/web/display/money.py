"""Money as text: an amount with its currency in the kitchen's locale, rounded half up."""

import re
from decimal import Decimal, localcontext
from functools import lru_cache
from typing import Final

from babel.core import Locale
from babel.numbers import NumberPattern, format_currency, parse_pattern
from django.utils.translation import gettext
from djmoney.money import Money

from catalog.web.display.figures import ROOM, Figure, exactly, rounded
from catalog.web.display.settings import current
from costing.money.currencies import MINOR_DIGITS

#: The decimals in a pattern of CLDR for money, such as ``¤#,##0.00``.
_DECIMALS: Final = re.compile(r"\.[0#]+")


def currency_decimals(currency: str) -> int:
    """Return how many decimals amounts of a currency have."""
    return MINOR_DIGITS.get(currency, 2)


def minor(value: int | Money | None, currency: str = "") -> str:
    """Write whole minor units, or money that is charged: 1234 is $12.34."""
    if value is None:
        return ""
    if isinstance(value, Money):
        digits = currency_decimals(value.currency.code)
        return _written(value.amount, value.currency.code, digits, digits)
    currency = currency or current().currency
    digits = currency_decimals(currency)
    return _written(Decimal(value).scaleb(-digits, ROOM), currency, digits, digits)


def amount(value: Figure | Money | None, currency: str = "") -> str:
    """Write money that is not charged (a cost); small ones keep two more decimals: $0.0045 a gram."""
    if value is None or value == "":
        return ""
    if isinstance(value, Money):
        bare: Decimal = value.amount
        return amount(bare, value.currency.code)
    currency = currency or current().currency
    digits = currency_decimals(currency)
    exact = exactly(value)
    small = 0 < abs(exact.numerator) * 10**digits < 10 * exact.denominator
    return _written(rounded(exact, digits + 2 if small else digits), currency, digits, digits + 2 if small else digits)


def cents(value: Figure, currency: str = "") -> str:
    """Write money to its minor unit; what is less than half of one is named so: $0.03, under $0.01."""
    currency = currency or current().currency
    exact, digits = exactly(value), currency_decimals(currency)
    number = rounded(exact, digits)
    if exact > 0 and not number:
        return gettext("under %(amount)s") % {"amount": _written(Decimal(1).scaleb(-digits), currency, digits, digits)}
    return _written(number, currency, digits, digits)


def fine(value: Figure, currency: str = "") -> str:
    """Write money inside a derivation: up to three decimals, below one unit of money up to six."""
    currency = currency or current().currency
    exact, digits = exactly(value), currency_decimals(currency)
    most = max(digits, 3 if abs(exact) >= 1 else 6)
    return _written(rounded(exact, most), currency, digits, most)


def _written(number: Decimal, currency: str, least: int, most: int) -> str:
    return _money_text(str(number), currency, current().locale, least, most)


@lru_cache(maxsize=4096)
def _money_text(number: str, currency: str, locale: str, least: int, most: int) -> str:
    """Write an amount. The last texts are kept: a page, and the page after it, say the same amounts again and again."""
    parsed, pattern = _pattern(locale, least, most)
    value = Decimal(number)
    # CLDR's own digits differ from ISO 4217 for some currencies; the minor unit is ISO's.
    with localcontext(ROOM):
        text = str(format_currency(value, currency, format=pattern, locale=parsed, currency_digits=False))
    # Negative money always has a minus sign, as in credit notes, not a hyphen.
    return text.replace("-", "−", 1) if value < 0 else text


@lru_cache(maxsize=256)
def _pattern(locale: str, least: int, most: int) -> tuple[Locale, NumberPattern]:
    """Return the locale, and its pattern for money with this many decimals."""
    decimals = f".{'0' * least}{'#' * (most - least)}" if most else ""
    parsed = Locale.parse(locale)
    return parsed, parse_pattern(_DECIMALS.sub(decimals, parsed.currency_formats["standard"].pattern))
