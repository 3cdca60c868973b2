"""Numbers as people write them: ``1,234.50``, ``1 234,50``, ``$12``, ``12 %``."""

import re
from decimal import Decimal
from typing import Final

from babel.numbers import get_decimal_symbol

#: A hundred tonnes (or cubic metres, or millions of pieces): a larger amount is a typing error.
MOST_GRAMS: Final = 100_000_000
#: A larger price of a pack is a typing error, in a form and in a price list.
MOST_PRICE: Final = 1_000_000
_NUMBER = re.compile(r"\d{1,15}(\.\d{1,12})?\Z", re.ASCII)
_SPACE = re.compile(r"[\s  '’]+")


def decimal_comma(locale: str) -> bool:
    """Return whether a language uses a decimal comma."""
    return bool(get_decimal_symbol(locale) == ",")


def number_read(text: str, *, comma: bool) -> Decimal | None:
    """Parse a number as people write it; None when it is no number.

    One comma before three digits separates thousands (``1,250``), or decimals where the kitchen's language uses a
    decimal comma (``comma``). After a zero (``0,845``) it is always a decimal comma.
    """
    body = _SPACE.sub("", text).strip("$€£¥%").strip()
    sign = -1 if body[:1] in ("-", "−") else 1
    body = (body[1:] if body[:1] in ("-", "−", "+") else body).strip("$€£¥%")
    if "," in body and "." in body:
        thousands = "," if body.rfind(".") > body.rfind(",") else "."
        body = body.replace(thousands, "")
    elif body.count(",") == 1 and (comma or not re.fullmatch(r"[1-9]\d{0,2},\d{3}", body)):
        body = body.replace(",", ".")
    else:
        body = body.replace(",", "")
    body = body.replace(",", ".")
    body = f"0{body}" if body.startswith(".") else body
    return sign * Decimal(body) if _NUMBER.match(body) else None
