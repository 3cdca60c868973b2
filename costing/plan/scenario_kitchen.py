"""Reads the kitchen of a scenario: hours, days that differ, resources."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from costing.contract.case_reading import kind_of
from costing.contract.errors import Path
from costing.plan.clocks import Clock, NoSuchTime
from costing.plan.problem import HANDS, Level, Resource, Span
from costing.plan.scenario_reading import MOST, ScenarioReading

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
DIVIDED_KINDS = ("oven", "vehicle")
"""Kinds of which a load is in exactly one; of others a batch may be spread over all."""
_DESCRIBED = ("name", "title", "note")


@dataclass(frozen=True, slots=True)
class Shift:
    """Hands for a time of day.

    Parameters
    ----------
    opens : time
        Local time.
    closes : time
        Local time; not after opening is the next day.
    hands : int
        How many.
    """

    opens: time
    closes: time
    hands: int


@dataclass(slots=True)
class Hours:
    """When how many hands are there.

    Parameters
    ----------
    weekly : dict of int to list of Shift
        Weekday, Monday 0.
    dated : dict of date to list of Shift
        Days that differ.
    closed : set of date
        Days on which nobody is there.
    """

    weekly: dict[int, list[Shift]] = field(default_factory=dict)
    dated: dict[date, list[Shift]] = field(default_factory=dict)
    closed: set[date] = field(default_factory=set)

    def levels(self, clock: Clock, first: date, end: int) -> tuple[Level, ...]:
        """Return the hands from a day on.

        Parameters
        ----------
        clock : Clock
            The kitchen's clock.
        first : date
            The first day.
        end : int
            The last minute [min].
        """
        found: list[Level] = []
        day = first
        while clock.spans(day, time(0), time(0))[0] < end:
            shifts = self.dated.get(day, self.weekly.get(day.weekday(), []))
            for shift in shifts if day not in self.closed else ():
                span = clock.spans(day, shift.opens, shift.closes)
                if span[1] > max(0, span[0]) and shift.hands:
                    found.append(Level(max(0, span[0]), span[1], shift.hands))
            day += timedelta(days=1)
        return tuple(sorted(found, key=lambda level: (level.begin, level.end)))


def attended(levels: Sequence[Level]) -> tuple[Span, ...]:
    """Return when somebody is there.

    Parameters
    ----------
    levels : sequence of Level
        The hands, by their begin.
    """
    joined: list[Span] = []
    for level in levels:
        if joined and level.begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], level.end))
        else:
            joined.append((level.begin, level.end))
    return tuple(joined)


def read_zone(reading: ScenarioReading, top: Mapping[str, Any]) -> ZoneInfo | None:
    """Read the time zone.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    top : mapping of str to object
        The scenario.
    """
    name = reading.text(top, "timezone", ())
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        reading.note("schema", ("timezone",), f"There is no time zone “{name}”. Give one such as Europe/Paris.")
        return None


def read_hours(reading: ScenarioReading, top: Mapping[str, Any], clock: Clock) -> Hours:
    """Read weekly hours, hours of dates and closed dates.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    top : mapping of str to object
        The scenario.
    clock : Clock
        The kitchen's clock.
    """
    hours = Hours()
    for path, value in reading.entries(top, "hours", ()):
        dated = isinstance(value, dict) and "date" in value
        needed = ("date" if dated else "days", "from", "to", "hands")
        owner = reading.object(value, path, needed, _DESCRIBED)
        opens, closes = reading.clock_time(owner, "from", path), reading.clock_time(owner, "to", path)
        hands = reading.whole(owner, "hands", path)
        if opens is None or closes is None:
            continue
        if opens == closes and owner.get("to") != "24:00":
            reading.note("bad_span", path, f"These hours begin and end at {owner['from']}. Give another time.")
            continue
        shift = Shift(opens, closes, hands)
        if dated:
            _read_dated(reading, owner, path, shift, clock, hours)
        else:
            for weekday in _weekdays(reading, owner, path):
                hours.weekly.setdefault(weekday, []).append(shift)
    _read_closed(reading, top, hours)
    return hours


def _read_dated(
    reading: ScenarioReading, owner: Mapping[str, Any], path: Path, shift: Shift, clock: Clock, hours: Hours
) -> None:
    day = reading.day(owner["date"], (*path, "date"))
    if day is None:
        return
    for key in ("from", "to"):
        try:
            if owner[key] != "24:00":
                clock.minute(f"{day}T{owner[key]}")
        except NoSuchTime:
            message = f"There is no {owner[key]} on {day}, because clocks are put forward. Give another time."
            reading.note("bad_time", (*path, key), message)
    hours.dated.setdefault(day, []).append(shift)


def _weekdays(reading: ScenarioReading, owner: Mapping[str, Any], path: Path) -> list[int]:
    found = []
    for place, name in reading.entries(owner, "days", path):
        if isinstance(name, str) and name in DAYS:
            found.append(DAYS.index(name))
        else:
            reading.note("schema", place, f"This is no weekday. Give one of: {'; '.join(DAYS)}.")
    return list(dict.fromkeys(found))


def _read_closed(reading: ScenarioReading, top: Mapping[str, Any], hours: Hours) -> None:
    for path, value in reading.entries(top, "closed", ()):
        if isinstance(value, dict):
            owner = reading.object(value, path, ("date",), ("reason", *_DESCRIBED))
            day = reading.day(owner["date"], (*path, "date")) if "date" in owner else None
        else:
            day = reading.day(value, path)
        if day is not None:
            hours.closed.add(day)


def read_resources(reading: ScenarioReading, top: Mapping[str, Any], clock: Clock) -> tuple[Resource, ...]:
    """Read the resources.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    top : mapping of str to object
        The scenario.
    clock : Clock
        The kitchen's clock.
    """
    given = top.get("resources", {})
    if not isinstance(given, dict):
        reading.note("schema", ("resources",), f"“resources” is {kind_of(given)}. Give an object.")
    value: Mapping[str, Any] = given if isinstance(given, dict) else {}
    found = []
    for code, entry in value.items():
        path: Path = ("resources", code)
        if code == HANDS:
            reading.note("duplicate_id", path, "The hands are in the hours already. Give this resource another name.")
            continue
        owner = reading.object(entry, path, ("capacity",), ("kind", "tolerance", "count", "out", *_DESCRIBED))
        kind = reading.text(owner, "kind", path)
        tolerance = _tolerance(reading, owner, path)
        found.append(
            Resource(
                code,
                reading.whole(owner, "capacity", path),
                reading.whole(owner, "count", path, 1, 1000, 1),
                kind in DIVIDED_KINDS or tolerance is not None,
                tolerance,
                out=_out(reading, owner, path, clock),
            )
        )
    return tuple(found)


def _tolerance(reading: ScenarioReading, owner: Mapping[str, Any], path: Path) -> float | None:
    value = owner.get("tolerance")
    if value is None:
        return 0.0 if owner.get("kind") == "oven" else None
    if isinstance(value, bool) or not isinstance(value, int | float) or value != value:
        reading.note("schema", (*path, "tolerance"), "The tolerance is no number. Give degrees, such as 10.")
    elif value < 0:
        reading.note("bad_span", (*path, "tolerance"), "The tolerance is below 0. Give degrees, such as 10.")
    else:
        return float(value)
    return None


def _out(reading: ScenarioReading, owner: Mapping[str, Any], path: Path, clock: Clock) -> tuple[Level, ...]:
    found = []
    for place, value in reading.entries(owner, "out", path):
        entry = reading.object(value, place, ("from", "to"), ("count", "reason", *_DESCRIBED))
        if "from" not in entry or "to" not in entry:
            continue
        span = reading.span(entry, place, clock)
        if span is None:
            continue
        found.append(Level(*span, reading.whole(entry, "count", place, 1, MOST, 1)))
    return tuple(found)
