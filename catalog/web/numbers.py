"""Numbers as people type them, and numbers written for people."""

import re
from decimal import Decimal
from fractions import Fraction

from babel.numbers import get_decimal_symbol
from django.core.exceptions import ValidationError

from catalog.web.display.settings import current

_NUMBER = re.compile(r"\d{1,15}(\.\d{1,12})?\Z", re.ASCII)
_SPACE = re.compile(r"[\s  '’]+")


def plain_number(text: str, *, what: str, example: str = "12.50") -> Decimal:
    """Read a number as people write it: ``1,234.50``, ``1 234,50``, ``$12``, ``12 %``.

    One comma before three digits is a thousand (``1,250``), but a decimal where the kitchen's language writes so; a
    zero before it (``0,845``) is a decimal everywhere.

    Raises
    ------
    ValidationError
        With a sentence that says how to write it.
    """
    problem = ValidationError(f"Write {what} as a number, such as {example}.", code="not_a_number")
    body = _SPACE.sub("", text).strip("$€£¥%").strip()
    sign = -1 if body[:1] in ("-", "−") else 1
    body = (body[1:] if body[:1] in ("-", "−", "+") else body).strip("$€£¥%")
    if "," in body and "." in body:
        thousands = "," if body.rfind(".") > body.rfind(",") else "."
        body = body.replace(thousands, "")
    elif body.count(",") == 1 and (_decimal_comma() or not re.fullmatch(r"[1-9]\d{0,2},\d{3}", body)):
        body = body.replace(",", ".")
    else:
        body = body.replace(",", "")
    body = body.replace(",", ".")
    if not _NUMBER.match(body):
        raise problem
    return sign * Decimal(body)


def _decimal_comma() -> bool:
    return bool(get_decimal_symbol(current().locale) == ",")


def trimmed(number: Decimal | Fraction | int) -> str:
    """Write a number without needless zeros."""
    text = format(
        Decimal(number) if not isinstance(number, Fraction) else Decimal(number.numerator) / number.denominator,
        "f",
    )
    return text.rstrip("0").rstrip(".") if "." in text else text
