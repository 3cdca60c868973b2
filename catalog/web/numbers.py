"""Numbers as people type them, and numbers written for people."""

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from catalog.records.numbers import decimal_comma, number_read
from catalog.web.display.settings import current

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


def plain_number(text: str, *, what: "StrOrPromise", example: str = "12.50") -> Decimal:
    """Read a number as people write it; :func:`catalog.records.numbers.number_read` says how.

    Raises
    ------
    ValidationError
        With a sentence that says how to write it.
    """
    number = number_read(text, comma=decimal_comma(current().locale))
    if number is None:
        sentence = gettext("Write %(what)s as a number, such as %(example)s.") % {"what": what, "example": example}
        raise ValidationError(sentence, code="not_a_number")
    return number


def trimmed(number: Decimal | Fraction | int) -> str:
    """Write a number without needless zeros."""
    text = format(
        Decimal(number) if not isinstance(number, Fraction) else Decimal(number.numerator) / number.denominator,
        "f",
    )
    return text.rstrip("0").rstrip(".") if "." in text else text
