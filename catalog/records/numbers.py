"""Numbers as people write them: ``1,234.50``, ``1 234,50``, ``$12``, ``12 %``."""

import re
from decimal import Decimal

from babel.numbers import get_decimal_symbol

_NUMBER = re.compile(r"\d{1,15}(\.\d{1,12})?\Z", re.ASCII)
_SPACE = re.compile(r"[\s  '’]+")


def decimal_comma(locale: str) -> bool:
    """Tell whether a language writes decimals behind a comma."""
    return bool(get_decimal_symbol(locale) == ",")


def number_read(text: str, *, comma: bool) -> Decimal | None:
    """Read a number as people write it; None when it is none.

    One comma before three digits is a thousand (``1,250``), but a decimal where the kitchen's language writes so
    (``comma``); a zero before it (``0,845``) is a decimal everywhere.
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
    return sign * Decimal(body) if _NUMBER.match(body) else None
