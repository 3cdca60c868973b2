"""What is kept of an order that its customer cancels: rows of a table as dates of an event, and amounts."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from catalog.kitchen.cancellation import RetainedRow
from costing.money.rounding import half_up


@dataclass(frozen=True, slots=True)
class RetainedSpan:
    """What is kept from one date to another, both included: of a total, in whole minor units.

    ``first`` is None where it has begun or nothing is before it, ``last`` where nothing comes after it. Without a
    ``row`` nothing is kept.
    """

    first: date | None
    last: date | None
    row: RetainedRow | None
    retained_minor: int


def retained_minor(total_minor: int, row: RetainedRow | None) -> int:
    """Return what a row keeps of a total, rounded half up as a deposit is; whole minor units."""
    return 0 if row is None else half_up(total_minor * Fraction(row.share))


def days_before(event: date, day: date) -> int:
    """Return how many days a date is before an event, counted in dates; below zero after it."""
    return (event - day).days


def retained_spans(rows: Sequence[RetainedRow], *, event: date, today: date, total_minor: int) -> list[RetainedSpan]:
    """Return the table as dates, from ``today`` on; ``rows`` begin with the most days. Empty without rows."""
    if not rows:
        return []
    begins = [event - timedelta(days=row.days) for row in rows]
    spans = [RetainedSpan(None, begins[0] - timedelta(days=1), None, 0)]
    for place, row in enumerate(rows):
        last = begins[place + 1] - timedelta(days=1) if place + 1 < len(rows) else None
        spans.append(RetainedSpan(begins[place], last, row, retained_minor(total_minor, row)))
    ahead = [span for span in spans if span.last is None or span.last >= today]
    return [_from(span, today) for span in ahead]


def _from(span: RetainedSpan, today: date) -> RetainedSpan:
    begun = span.first is not None and span.first <= today
    return RetainedSpan(None, span.last, span.row, span.retained_minor) if begun else span
