"""Payments before the event in a sent quote's content: how much, and by which day."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class DatedPayment:
    """A payment due by a day; ``days`` is how many before the event were wanted.

    Whoever approves after that day has until the end of the day of the approval.
    """

    amount_minor: int
    days: int
    due_on: date


def payments_of(stored: Iterable[Mapping[str, Any]]) -> tuple[DatedPayment, ...]:
    """Read payments back from a stored content."""
    return tuple(DatedPayment(**{**one, "due_on": date.fromisoformat(one["due_on"])}) for one in stored)


def days_of(stored: Iterable[str]) -> tuple[date, ...]:
    """Read the days of payments back from a stored content."""
    return tuple(map(date.fromisoformat, stored))
