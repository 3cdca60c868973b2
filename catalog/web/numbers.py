"""Numbers as people type them, and numbers written for people."""

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from catalog.records.numbers import number_format, number_read
from catalog.web.display.settings import current
from costing.measures.figures import NumberFormat, TwoReadings

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


def written_here() -> NumberFormat:
    """Return how the kitchen writes numbers."""
    return number_format(current().locale)


def two_readings_sentence(two: TwoReadings) -> str:
    """Say that a number can be read in two ways, and which."""
    return gettext("“%(text)s” can be read as %(first)s or as %(second)s. Write one of these.") % two.params


def plain_number(text: str, *, what: "StrOrPromise", example: str = "12.50") -> Decimal:
    """Read a number as people write it; :func:`catalog.records.numbers.number_read` says how.

    Raises
    ------
    ValidationError
        With a sentence that says how to write it.
    """
    try:
        number = number_read(text, written=written_here())
    except TwoReadings as two:
        raise ValidationError(two_readings_sentence(two), code="two_readings") from None
    if number is None:
        sentence = gettext("Write %(what)s as a number, such as %(example)s.") % {
            "what": what,
            "example": written_here().written(example),
        }
        raise ValidationError(sentence, code="not_a_number")
    return number


def number_input(number: Decimal | Fraction | int) -> str:
    """Write a number for an input, so that it is read back as the same."""
    return written_here().written(trimmed(number))


def trimmed(number: Decimal | Fraction | int) -> str:
    """Write a number without needless zeros."""
    text = format(
        Decimal(number) if not isinstance(number, Fraction) else Decimal(number.numerator) / number.denominator,
        "f",
    )
    return text.rstrip("0").rstrip(".") if "." in text else text
