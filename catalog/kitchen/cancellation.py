"""Cancellation terms as a table: what is kept of an order, by days before the event.

A row holds from so many days before the event on, until the row of fewer days begins; the last one holds on the day of
the event and after it. Before the first row nothing is kept. Days are dates of the kitchen's calendar.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any


@dataclass(frozen=True, slots=True)
class RetainedRow:
    """What is kept from so many ``days`` before the event on: a ``share`` of the order's total, 0 to 1."""

    days: int
    share: Decimal


def rows_read(stored: Iterable[Mapping[str, Any]] | None) -> tuple[RetainedRow, ...]:
    """Read a table from JSON, the row of most days first."""
    rows = (RetainedRow(int(row["days"]), Decimal(row["share"])) for row in stored or ())
    return tuple(sorted(rows, key=lambda row: -row.days))


def rows_stored(rows: Iterable[RetainedRow]) -> list[dict[str, Any]]:
    """Return a table as JSON, the row of most days first."""
    ordered = sorted(rows, key=lambda row: -row.days)
    return [{"days": row.days, "share": format(row.share, "f")} for row in ordered]


def row_on(rows: Sequence[RetainedRow], days_before: int) -> RetainedRow | None:
    """Return the row that holds so many days before the event (below zero after it); None where nothing is kept."""
    begun = [row for row in rows if days_before <= row.days]
    return min(begun, key=lambda row: row.days, default=None)
