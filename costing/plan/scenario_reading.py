"""Reads values of a scenario; every error is recorded with its place, so all are reported at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from costing.contract.case_reading import Reading, kind_of
from costing.contract.errors import Path
from costing.plan.clocks import PATTERN, Clock, NoSuchTime

ROOT = "scenario"
CODES: frozenset[str] = frozenset(
    {
        "schema",
        "unknown_resource",
        "bad_span",
        "too_large",
        "bad_time",
        "duplicate_id",
        "needs_cycle",
        "overfull",
    }
)
"""Codes of what can be wrong with a scenario."""

MOST = 10**6
"""More places, pieces or hands than any kitchen has."""
DAYS = 400
"""How far from now a time may lie [d]."""
LONGEST = DAYS * 1440
"""The longest a step may last [min]."""


@dataclass(slots=True)
class ScenarioReading(Reading):
    """Reads values of a scenario and records errors.

    Parameters
    ----------
    errors : list of CostingError
        What was wrong so far.
    root : str
        What is read.
    """

    root: str = ROOT

    def text(self, owner: Mapping[str, Any], key: str, path: Path) -> str:
        """Read a text that is not empty.

        Parameters
        ----------
        owner : mapping of str to object
            The object it belongs to.
        key : str
            Its key.
        path : tuple of str or int
            The object's place.
        """
        value = owner.get(key, "")
        if isinstance(value, str) and value:
            return value
        if key in owner:
            given = "empty" if value == "" else kind_of(value)
            self.note("schema", (*path, key), f"The {key} is {given}. Give a text.")
        return ""

    def whole(
        self, owner: Mapping[str, Any], key: str, path: Path, least: int = 0, most: int = MOST, default: int = 0
    ) -> int:
        """Read a whole number; below 0 is `bad_span`, above the most `too_large`.

        Parameters
        ----------
        owner : mapping of str to object
            The object it belongs to.
        key : str
            Its key.
        path : tuple of str or int
            The object's place.
        least : int
            The least it may be.
        most : int
            The most it may be.
        default : int
            What it is where it is left out.
        """
        if key not in owner:
            return default
        value = owner[key]
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.note("schema", (*path, key), f"“{key}” is {kind_of(value)}. Give a whole number.")
        elif value < 0:
            self.note("bad_span", (*path, key), f"“{key}” is below 0. Give {least} or more.")
        elif value > most:
            self.note("too_large", (*path, key), f"“{key}” is above {most}. Give less.")
        elif value != int(value) or value < least:
            self.note("schema", (*path, key), f"“{key}” is {value:g}. Give a whole number from {least} on.")
        else:
            return int(value)
        return max(least, default)

    def moment(self, value: Any, path: Path, clock: Clock) -> int:
        """Read a local time.

        Parameters
        ----------
        value : object
            What stands in the document.
        path : tuple of str or int
            Its place.
        clock : Clock
            The kitchen's clock.

        Returns
        -------
        int
            [min]; 0 where it is wrong.
        """
        if not isinstance(value, str) or not PATTERN.fullmatch(value):
            given = f"“{value}”" if isinstance(value, str) else kind_of(value)
            self.note("schema", path, f"This time is {given}. Write it like 2026-09-07T06:00.")
            return 0
        try:
            minute = clock.minute(value)
        except NoSuchTime:
            self.note("bad_time", path, f"There is no {value} on this kitchen's clock. Give a time that there is.")
            return 0
        if not 0 <= minute <= 3 * LONGEST:
            self.note("too_large", path, f"{value} is more than {DAYS} days from now. Give a time nearer to it.")
            return 0
        return minute

    def window(self, value: Any, path: Path, clock: Clock) -> tuple[int, int]:
        """Read a window: from and to, both of it.

        Parameters
        ----------
        value : object
            What stands in the document.
        path : tuple of str or int
            Its place.
        clock : Clock
            The kitchen's clock.
        """
        if not isinstance(value, list) or len(value) != 2:
            self.note("schema", path, f"This window is {_listed(value)}. Give a list of from and to.")
            return 0, 0
        errors = len(self.errors)
        begin, end = (self.moment(one, (*path, at), clock) for at, one in enumerate(value))
        if begin > end and len(self.errors) == errors:
            self.note("bad_span", path, f"This window ends before it begins ({value[0]} to {value[1]}). Exchange them.")
            return 0, 0
        return begin, end

    def span(self, owner: Mapping[str, Any], path: Path, clock: Clock) -> tuple[int, int] | None:
        """Read `from` and `to`, which is later; None where they are wrong.

        Parameters
        ----------
        owner : mapping of str to object
            The object they belong to.
        path : tuple of str or int
            The object's place.
        clock : Clock
            The kitchen's clock.
        """
        if "from" not in owner or "to" not in owner:
            return None
        errors = len(self.errors)
        begin, end = (self.moment(owner[key], (*path, key), clock) for key in ("from", "to"))
        if len(self.errors) > errors:
            return None
        if begin >= end:
            self.note("bad_span", path, f"This ends ({owner['to']}) before it has begun. Give a later end.")
            return None
        return begin, end

    def day(self, value: Any, path: Path) -> date | None:
        """Read a day.

        Parameters
        ----------
        value : object
            What stands in the document.
        path : tuple of str or int
            Its place.
        """
        if isinstance(value, str) and len(value) == 10 and value[4] == value[7] == "-":
            try:
                return date.fromisoformat(value)
            except ValueError:
                self.note("bad_time", path, f"There is no day {value}. Give a day of the calendar.")
                return None
        self.note("schema", path, f"This day is {kind_of(value)}. Write it like 2026-09-07.")
        return None

    def clock_time(self, owner: Mapping[str, Any], key: str, path: Path) -> time | None:
        """Read a time of day; 24:00 is midnight.

        Parameters
        ----------
        owner : mapping of str to object
            The object it belongs to.
        key : str
            Its key.
        path : tuple of str or int
            The object's place.
        """
        value = owner.get(key)
        if key not in owner:
            return None
        if isinstance(value, str) and len(value) == 5 and value[2] == ":" and (value[:2] + value[3:]).isdecimal():
            if value == "24:00":
                return time(0)
            try:
                return time.fromisoformat(value)
            except ValueError:
                self.note("bad_time", (*path, key), f"There is no {value} on a clock. Give 00:00 to 24:00.")
                return None
        given = f"“{value}”" if isinstance(value, str) else kind_of(value)
        self.note("schema", (*path, key), f"This time of day is {given}. Write it like 06:00.")
        return None

    def entries(self, owner: Mapping[str, Any], key: str, path: Path) -> Iterator[tuple[Path, Any]]:
        """Yield place and value of each entry of a list; nothing where it is left out.

        Parameters
        ----------
        owner : mapping of str to object
            The object it belongs to.
        key : str
            Its key.
        path : tuple of str or int
            The object's place.
        """
        value = owner.get(key, [])
        if not isinstance(value, list):
            self.note("schema", (*path, key), f"“{key}” is {kind_of(value)}. Give a list.")
            return
        for at, one in enumerate(value):
            yield (*path, key, at), one


def _listed(value: Any) -> str:
    return f"a list of {len(value)}" if isinstance(value, list) else kind_of(value)
