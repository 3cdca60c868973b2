"""What a kitchen has, from its Book: people by the hour, stations, molds, as the plan reads them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from costing.contract import Book, Station
from costing.contract.plan_bounds import SAFE_TOLERANCE_C
from costing.plan.clocks import Clock, clock_at
from costing.plan.grid import GRID_MIN
from costing.plan.problem import HANDS, VEHICLE, Kitchen, Level, Resource, Span

UNCOUNTED: Final = 100
"""People where nobody says how many there are [each]: more than any kitchen of this kind has."""
Away = Mapping[str, tuple[Level, ...]]
"""Code of a resource -> when how many of it are with customers."""
NOWHERE: Final[Away] = {}


@dataclass(frozen=True, slots=True)
class Days:
    """The days of a plan.

    Parameters
    ----------
    clock : Clock
        The kitchen's clock; minute 0 is the beginning of the first day.
    first : date
        The first day.
    count : int
        How many days.
    """

    clock: Clock
    first: date
    count: int

    @property
    def end(self) -> int:
        """The last minute of the last day [min], a multiple of the grid."""
        last = self.clock.spans(self.first + timedelta(days=self.count - 1), time(0), time(0))[1]
        return last - last % GRID_MIN


def days_of(book: Book, first: date, count: int) -> Days:
    """Return the days of a plan.

    Parameters
    ----------
    book : Book
        Of which the time zone is.
    first : date
        The first day.
    count : int
        How many days.
    """
    return Days(clock_at(ZoneInfo(book.kitchen.described.time_zone), first), first, count)


def states_people(book: Book) -> bool:
    """Return whether a Book says at any time how many people are there; else hands are not counted.

    Parameters
    ----------
    book : Book
        Any Book.
    """
    return any(each.hands is not None for hours in (book.hours, book.days) for each in hours or ())


def first_cold_vehicle(book: Book) -> int | None:
    """Return the place of the first vehicle that is refrigerated, these being the last; None where none is.

    A kitchen that states none counts with one, as its profile says of it.

    Parameters
    ----------
    book : Book
        Any Book.
    """
    if not book.vehicles:
        return 0 if book.kitchen.described.vehicle_cold else None
    cold = sum(one.cold for one in book.vehicles)
    return len(book.vehicles) - cold if cold else None


def most_people(book: Book) -> int:
    """Return how many people are there at most; `UNCOUNTED` where nobody states it.

    Parameters
    ----------
    book : Book
        Any Book.
    """
    usual = 1 if states_people(book) else UNCOUNTED
    weekly, dated = ([each.hands or usual for each in hours or ()] for hours in (book.hours, book.days))
    return max((*weekly, *dated), default=usual)


def kitchen_of(book: Book, days: Days, now: int, away: Away = NOWHERE, *, lax: bool = False) -> Kitchen:
    """Return what there is.

    Parameters
    ----------
    book : Book
        A sound Book, with hours.
    days : Days
        The days of the plan.
    now : int
        Nothing new begins before [min].
    away : mapping of str to tuple of Level
        Code of a resource -> when how many of it are with customers.
    lax : bool
        Whether vehicles are not counted where none is stated, so that a no rests on what is stated; else there is one.
    """
    levels = tuple(sorted(_hands(book, days), key=lambda level: (level.begin, level.end)))
    resources = (
        Resource(HANDS, max((level.amount for level in levels), default=0), levels=levels),
        *_stations(book, days),
        *_molds(book, away),
        Resource(VEHICLE, UNCOUNTED if lax and not book.vehicles else 1, max(1, len(book.vehicles)), divided=True),
    )
    return Kitchen(GRID_MIN, days.end, max(0, now), resources, _joined(levels))


def _hands(book: Book, days: Days) -> Iterator[Level]:
    closed = {each.date for each in book.closed or ()}
    usual = 1 if states_people(book) else UNCOUNTED
    for number in range(days.count):
        day = days.first + timedelta(days=number)
        weekly = [(one.opens, one.closes, one.hands) for one in book.hours or () if one.weekday == day.weekday()]
        dated = [(one.opens, one.closes, one.hands) for one in book.days or () if one.date == day]
        for opens, closes, hands in () if day in closed else dated or weekly:
            begin, end = days.clock.spans(day, opens, closes)
            if end > begin:
                yield Level(begin, end, hands or usual)


def _molds(book: Book, away: Away) -> Iterator[Resource]:
    """Yield the molds; what is with customers is out, piece by piece."""
    for mold in book.molds:
        code = f"mold:{mold.name}"
        yield Resource(code, 1, mold.owned, out=away.get(code, ()))


def _stations(book: Book, days: Days) -> Iterator[Resource]:
    """Yield the stations of which somebody says how much goes into them."""
    for one in book.stations:
        if one.places is not None:
            oven = one.kind == "oven"
            apart = one.tolerance_c if one.tolerance_c is not None else SAFE_TOLERANCE_C if oven else None
            tolerance, out = None if apart is None else float(apart), tuple(_out(one, days))
            yield Resource(f"station:{one.code}", one.places, one.count, one.count > 1 or oven, tolerance, out=out)


def _out(one: Station, days: Days) -> Iterator[Level]:
    """Yield when how many of a station are out of order."""
    for each in one.out:
        begin = days.clock.spans(each.begins.date(), each.begins.time(), time(0))[0]
        end = days.clock.spans(each.ends.date(), each.ends.time(), time(0))[0]
        if end > max(0, begin):
            yield Level(max(0, begin), end, each.count)


def _joined(levels: tuple[Level, ...]) -> tuple[Span, ...]:
    joined: list[Span] = []
    for level in levels:
        if joined and level.begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], level.end))
        else:
            joined.append((level.begin, level.end))
    return tuple(joined)
