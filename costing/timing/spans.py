"""Sets of whole minutes as unions of spans, and working hours as such a set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo

Span = tuple[int, int]
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def minute_of(moment: datetime) -> int:
    """Convert a moment to whole minutes since 1970-01-01 00:00 UTC, rounded up.

    Parameters
    ----------
    moment : datetime
        An aware datetime.

    Raises
    ------
    ValueError
        When the datetime has no time zone.
    """
    if moment.tzinfo is None:
        raise ValueError("A moment needs its time zone.")
    return -(-(moment - _EPOCH) // timedelta(minutes=1))


def moment_of(minute: int, zone: tzinfo) -> datetime:
    """Convert minutes since 1970-01-01 00:00 UTC to a moment in a time zone.

    Parameters
    ----------
    minute : int
        [min].
    zone : tzinfo
        The time zone of the result.
    """
    return (_EPOCH + timedelta(minutes=minute)).astimezone(zone)


@dataclass(frozen=True, slots=True)
class Minutes:
    """A set of minutes: sorted, disjoint spans from first to last minute, both included."""

    spans: tuple[Span, ...]

    @classmethod
    def of(cls, spans: Iterable[Span]) -> Minutes:
        """Make a set from any spans; empty ones (last before first) are dropped, touching ones joined.

        Parameters
        ----------
        spans : iterable of (int, int)
            First and last minute of each.
        """
        return cls._joined(sorted(span for span in spans if span[0] <= span[1]))

    @classmethod
    def _joined(cls, ordered: Iterable[Span]) -> Minutes:
        """Make a set from spans that are not empty, in order of their first minutes."""
        joined: list[Span] = []
        begun = ended = 0
        for first, last in ordered:
            if joined and first <= ended + 1:
                if last > ended:
                    ended = last
                    joined[-1] = (begun, ended)
            else:
                begun, ended = first, last
                joined.append((first, last))
        return cls(tuple(joined))

    def __bool__(self) -> bool:
        return bool(self.spans)

    def __contains__(self, minute: int) -> bool:
        return any(first <= minute <= last for first, last in self.spans)

    def __and__(self, other: Minutes) -> Minutes:
        common: list[Span] = []
        mine, theirs = self.spans, other.spans
        i = j = 0
        while i < len(mine) and j < len(theirs):
            (a, b), (c, d) = mine[i], theirs[j]
            if a <= d and c <= b:
                common.append((max(a, c), min(b, d)))
            if b < d:
                i += 1
            else:
                j += 1
        return Minutes._joined(common)

    def later(self, least: int, most: int) -> Minutes:
        """Return every minute that is `least` to `most` minutes after one of these.

        Parameters
        ----------
        least : int
            [min].
        most : int
            [min], not below `least`.
        """
        return Minutes._joined([(first + least, last + most) for first, last in self.spans])

    def latest(self, until: int) -> int | None:
        """Return the last of these minutes that is not after a given minute; None when there is none.

        Parameters
        ----------
        until : int
            [min].
        """
        return max((min(last, until) for first, last in self.spans if first <= until), default=None)

    @property
    def first(self) -> int | None:
        """The first of them; None when there are none."""
        return self.spans[0][0] if self.spans else None


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """The working hours of a kitchen.

    Parameters
    ----------
    weekly : mapping of int to tuple of (time, time)
        Opening and closing on each weekday, Monday 0; a day that is missing is closed. Closing at 00:00 is midnight
        at the end of the day.
    zone : tzinfo
        The kitchen's clock.
    closed : frozenset of date
        Days on which nobody works.
    dated : mapping of date to tuple of (time, time), optional
        Opening and closing on dates that differ: they count instead of the weekday's.
    """

    weekly: Mapping[int, tuple[tuple[time, time], ...]]
    zone: tzinfo
    closed: frozenset[date] = frozenset()
    dated: Mapping[date, tuple[tuple[time, time], ...]] = field(default_factory=dict)

    def of_day(self, day: date) -> tuple[tuple[time, time], ...]:
        """Return opening and closing on a day; nothing on a closed one.

        Parameters
        ----------
        day : date
            A day on the kitchen's clock.
        """
        if day in self.closed:
            return ()
        return self.dated.get(day, self.weekly.get(day.weekday(), ()))

    def between(self, first: int, last: int) -> Minutes:
        """Return the minutes at which somebody works; a span ends at the minute of closing.

        Parameters
        ----------
        first : int
            First minute of the search.
        last : int
            Last minute of the search.
        """
        day = moment_of(first, self.zone).date() - timedelta(days=1)
        until = moment_of(last, self.zone).date()
        spans: list[Span] = []
        while day <= until:
            spans.extend(self._span(day, opens, closes) for opens, closes in self.of_day(day))
            day += timedelta(days=1)
        return Minutes.of((max(a, first), min(b, last)) for a, b in spans)

    def _span(self, day: date, opens: time, closes: time) -> Span:
        end = day if closes > opens else day + timedelta(days=1)
        return (
            minute_of(datetime.combine(day, opens, self.zone)),
            minute_of(datetime.combine(end, closes, self.zone)),
        )
