"""Numbers and measures between the columns of rows and the values of a Book; digits are kept as they were written."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from costing.contract.book import ZERO
from costing.measures.measure import Measure, MeasureError, parse_measure
from costing.measures.numbers import Number, number, number_text


def exact(column: Decimal) -> Number:
    """Return a column's number as a Book has it."""
    return number(format(column, "f"))


def exact_or_none(column: Decimal | None) -> Number | None:
    """Return a column's number, if there is one, as a Book has it."""
    return None if column is None else exact(column)


def decimal(value: Fraction) -> Decimal:
    """Return a Book's number as a column has it."""
    return Decimal(number_text(value))


def decimal_or_none(value: Fraction | None) -> Decimal | None:
    """Return a Book's number, if there is one, as a column has it."""
    return None if value is None else decimal(value)


def measure(text: str) -> Measure:
    """Return a column's measure as a Book has it; one that cannot be read is nothing, and `check_book` says why."""
    try:
        return parse_measure(text)
    except MeasureError:
        return Measure(ZERO, "g", text)


def measure_or_none(text: str) -> Measure | None:
    """Return a column's measure, if there is one, as a Book has it."""
    return measure(text) if text else None


def by_owner(rows: Iterable[tuple[Any, ...]]) -> Mapping[int, list[tuple[Any, ...]]]:
    """Group rows by their first column, the key of what they belong to; it is taken off."""
    groups: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for row in rows:
        groups[row[0]].append(row[1:])
    return groups
