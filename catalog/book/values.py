"""Convert numbers and measures between columns and values of a Book; digits stay as they were written."""

from decimal import Decimal
from fractions import Fraction

from costing.contract.book import ZERO
from costing.measures.measure import Measure, MeasureError, parse_measure
from costing.measures.numbers import Number, number, number_text


def exact(column: Decimal) -> Number:
    """Convert a column's number to a Book's exact number."""
    return number(format(column, "f"))


def exact_or_none(column: Decimal | None) -> Number | None:
    """Convert a column's number, or None, to a Book's exact number."""
    return None if column is None else exact(column)


def decimal(value: Fraction) -> Decimal:
    """Convert a Book's number to a column's decimal."""
    return Decimal(number_text(value))


def decimal_or_none(value: Fraction | None) -> Decimal | None:
    """Convert a Book's number, or None, to a column's decimal."""
    return None if value is None else decimal(value)


def measure(text: str) -> Measure:
    """Convert a column's measure to a Book's; one that cannot be read becomes zero, and `check_book` reports it."""
    try:
        return parse_measure(text)
    except MeasureError:
        return Measure(ZERO, "g", text)


def measure_or_none(text: str) -> Measure | None:
    """Convert a column's measure, or empty text, to a Book's."""
    return measure(text) if text else None
