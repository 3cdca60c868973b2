"""Numbers as people write them: ``1,234.50``, ``1 234,50``, ``$12``, ``12 %``."""

import re
from decimal import Decimal
from functools import lru_cache
from typing import Final

from babel.numbers import get_decimal_symbol, get_group_symbol

from costing.measures.figures import NumberFormat, figure_read

#: A hundred tonnes (or cubic metres, or millions of pieces): a larger amount is a typing error.
MOST_GRAMS: Final = 100_000_000
#: A larger price of a pack is a typing error, in a form and in a price list.
MOST_PRICE: Final = 1_000_000
_NUMBER = re.compile(r"\d{1,15}(\.\d{1,12})?\Z", re.ASCII)


def decimal_comma(locale: str) -> bool:
    """Return whether a language uses a decimal comma."""
    return bool(get_decimal_symbol(locale) == ",")


@lru_cache(maxsize=64)
def number_format(locale: str) -> NumberFormat:
    """Return how numbers are written in a locale (Unicode CLDR's symbols, through babel)."""
    group = str(get_group_symbol(locale)).replace("’", "'")
    return NumberFormat(str(get_decimal_symbol(locale)), group.strip() or " ")


def number_read(text: str, *, written: NumberFormat) -> Decimal | None:
    """Parse a number as people write it; None when it is no number.

    ``written`` is how numbers are written in the kitchen's locale: ``1,250`` has three decimals in Germany, and is a
    thousand and more in the United States.

    Raises
    ------
    TwoReadings
        If it can be read in two ways.
    """
    body = text.strip().strip("$€£¥%").strip()
    sign = -1 if body[:1] in ("-", "−") else 1
    body = (body[1:] if body[:1] in ("-", "−", "+") else body).strip().strip("$€£¥%")
    exact = figure_read(body, written)
    return sign * Decimal(exact) if exact and _NUMBER.match(exact) else None
