"""Local times as minutes since an origin, and back: nothing else knows of time zones and changes of the clock."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from costing.plan.problem import Span

PATTERN = re.compile(r"(\d{4}-\d{2}-\d{2})T(\d{2}:\d{2})(:00)?([+-]\d{2}:\d{2}|Z)?", re.ASCII)
"""How a local time is written; an offset names one of two hours that are called the same."""
_MINUTE = timedelta(minutes=1)
_DAY = timedelta(days=1)


class NoSuchTime(ValueError):
    """A local time that the calendar or the clock leaves out.

    Parameters
    ----------
    text : str
        The time.
    """

    def __init__(self, text: str) -> None:
        super().__init__(text)


@dataclass(frozen=True, slots=True)
class Clock:
    """A kitchen's clock.

    Parameters
    ----------
    zone : ZoneInfo
        Its time zone.
    origin : datetime
        Minute 0.
    """

    zone: ZoneInfo
    origin: datetime

    def minute(self, text: str) -> int:
        """Return the minute of a local time; one that exists twice is the first, unless its offset says otherwise.

        Parameters
        ----------
        text : str
            As `PATTERN` has it.

        Raises
        ------
        NoSuchTime
            When there is no such day, hour or offset.
        """
        found = PATTERN.fullmatch(text)
        if found is None:
            raise NoSuchTime(text)
        try:
            local = datetime.fromisoformat(f"{found[1]}T{found[2]}").replace(tzinfo=self.zone)
            moment = self._at_offset(local, found[4]) if found[4] else local.astimezone(UTC)
        except (ValueError, OverflowError):  # a day, an hour or an offset that there is not
            raise NoSuchTime(text) from None
        if moment.astimezone(self.zone).replace(tzinfo=None, fold=0) != local.replace(tzinfo=None):
            raise NoSuchTime(text)
        return self._since(moment)

    def _at_offset(self, local: datetime, offset: str) -> datetime:
        wanted = datetime.fromisoformat(f"2000-01-01T00:00{offset}").utcoffset()
        for fold in (0, 1):
            if local.replace(fold=fold).utcoffset() == wanted:
                return local.replace(fold=fold).astimezone(UTC)
        raise NoSuchTime(offset)

    def _since(self, moment: datetime) -> int:
        return (moment - self.origin) // _MINUTE

    def text(self, minute: int) -> str:
        """Return the local time of a minute; with its offset where the clock shows it for the second time.

        Parameters
        ----------
        minute : int
            [min].
        """
        local = (self.origin + minute * _MINUTE).astimezone(self.zone)
        written = local.strftime("%Y-%m-%dT%H:%M")
        if not local.fold:
            return written
        offset = local.strftime("%z")
        return f"{written}{offset[:3]}:{offset[3:5]}"

    def spans(self, day: date, opens: time, closes: time) -> Span:
        """Return opening and closing on a day; closing that is not after opening is on the next day.

        An hour that the clock leaves out is the minute at which it is put forward.

        Parameters
        ----------
        day : date
            The day of opening.
        opens : time
            Local time.
        closes : time
            Local time.
        """
        until = day if closes > opens else day + _DAY
        return self._edge(datetime.combine(day, opens)), self._edge(datetime.combine(until, closes))

    def _edge(self, local: datetime) -> int:
        before = local.replace(tzinfo=self.zone, fold=1).astimezone(UTC)
        after = local.replace(tzinfo=self.zone).astimezone(UTC)
        # Where the clock is put forward, the two readings lie around the change; put back, the first counts.
        while after - before > _MINUTE:
            middle = before + (after - before) // 2
            middle -= timedelta(seconds=middle.second, microseconds=middle.microsecond)
            same = middle.astimezone(self.zone).utcoffset() == before.astimezone(self.zone).utcoffset()
            before, after = (middle, after) if same else (before, middle)
        return self._since(after)


def clock_at(zone: ZoneInfo, day: date) -> Clock:
    """Return a clock whose minute 0 is the beginning of a day.

    Parameters
    ----------
    zone : ZoneInfo
        The time zone.
    day : date
        The day.
    """
    return Clock(zone, datetime.combine(day, time(0), zone).astimezone(UTC))
