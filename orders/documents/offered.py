"""Windows that a quote offers beside the one that was asked for."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final

from catalog.records.moments import moment_stored
from orders.documents.dated_payments import days_of


@dataclass(frozen=True, slots=True)
class Offered:
    """A window the customer may choose, with all of the content that is another for it.

    ``statement`` is what is agreed to with it; ``final_count_on`` and ``deposit_latest_on`` stand instead of those of
    the content, and ``payments_on`` instead of the days of its payments. ``holding`` and ``serve_by`` are by code of a
    product, of those for which they are others.
    """

    window_start: datetime
    window_end: datetime
    statement: str
    final_count_on: date | None = None
    deposit_latest_on: date | None = None
    holding: Mapping[str, str] = field(default_factory=dict)
    serve_by: Mapping[str, datetime] = field(default_factory=dict)
    payments_on: tuple[date, ...] = ()


#: Keys added later.
LATER_OF_OFFERED: Final[Mapping[str, Any]] = {"payments_on": ()}


def offered_read(data: Mapping[str, Any]) -> Offered:
    """Read a window back from a stored content."""
    count, latest = data["final_count_on"], data["deposit_latest_on"]
    return Offered(
        window_start=moment_stored(data["window_start"]),
        window_end=moment_stored(data["window_end"]),
        statement=data["statement"],
        final_count_on=date.fromisoformat(count) if count else None,
        deposit_latest_on=date.fromisoformat(latest) if latest else None,
        holding=data["holding"],
        serve_by={code: moment_stored(moment) for code, moment in data["serve_by"].items()},
        payments_on=days_of(data.get("payments_on", ())),
    )
