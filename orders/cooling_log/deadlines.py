"""The limits by which something is measured, when each is due, and which one a reading shows as missed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final

from costing.chilling import COLD_C, Leg, due_times
from orders.cooling_log.models import Reading

#: 70 °F is 21.111… °C: what was read as the limit itself is not above it.
_ROUNDING: Final = Decimal("0.001")


@dataclass(frozen=True, slots=True)
class Limits:
    """The rule by which an item is measured: its title, its legs, and the temperature at which it counts as cold.

    ``part`` is the step in which it cools, where it cools more than once; ``others`` are the other steps of it in which
    another rule counts, each with that.
    """

    rule: str = ""
    legs: tuple[Leg, ...] = ()
    limit_c: float = COLD_C
    part: str = ""
    others: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class MissedLimit:
    """A limit [°C] that was not reached when it was due, and the reading that shows it."""

    limit_c: float
    due: datetime
    reading: Reading


def deadlines(
    limits: Limits, started_at: datetime, readings: Sequence[Reading] = ()
) -> Iterator[tuple[float, datetime]]:
    """Yield each limit of a rule and by when it has to be reached; a leg that follows counts from what was read."""

    def reached(limit_c: float) -> float | None:
        first = next((one.at for one in readings if at_most(one.celsius, limit_c)), None)
        return None if first is None else (first - started_at) / timedelta(minutes=1)

    for limit_c, minutes in due_times(limits.legs, reached):
        yield limit_c, started_at + timedelta(minutes=minutes)


def at_most(celsius: Decimal, limit_c: float) -> bool:
    """Return whether a reading is at a limit or below it [°C]."""
    return celsius <= Decimal(limit_c) + _ROUNDING


def first_missed(limits: Limits, started_at: datetime, readings: Sequence[Reading]) -> MissedLimit | None:
    """Return the first limit that a reading shows as missed: above it when it was due or later, and never in time."""
    for limit_c, due in deadlines(limits, started_at, readings):
        if any(at_most(each.celsius, limit_c) and each.at <= due for each in readings):
            continue
        late = next((each for each in readings if each.at >= due and not at_most(each.celsius, limit_c)), None)
        if late is not None:
            return MissedLimit(limit_c, due, late)
    return None
