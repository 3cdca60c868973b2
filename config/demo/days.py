"""The days that differ in the invented kitchen's calendar, counted from the day on which it is prepared."""

from datetime import date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from catalog.kitchen.public_holidays import public_holidays
from config.demo.profile import HOURS, PROFILE

#: A public holiday is closed only where none of the stories ahead is made or handed over near it.
_BEYOND: Final = timedelta(days=35)
_SUNDAY: Final = 6
_OPEN: Final = frozenset(day for day, *_hours in HOURS)


def saturday(day: date) -> date:
    """Return the Saturday on or after a day."""
    return day + timedelta(days=(5 - day.weekday()) % 7)


def today_of(at: int, now: datetime) -> date:
    """Return the date of a profile's kitchen at a moment."""
    return now.astimezone(ZoneInfo(PROFILE["time_zone"][at])).date()


def weeks(today: date) -> tuple[date, date, date]:
    """Return the Saturdays of the three weeks of work ahead: one with few tables, one with six, and one too full."""
    first = saturday(today + timedelta(days=2))
    return first, first + timedelta(days=7), first + timedelta(days=14)


def service(today: date) -> tuple[date, date]:
    """Return since when an oven is serviced, and when it is there again: two working days of the second week."""
    day = weeks(today)[1] - timedelta(days=4)
    return day, day + timedelta(days=2)


def days_that_differ(at: int, now: datetime) -> dict[str, Any]:
    """Return closed days and dated hours of a profile as the Book has them: two holidays, one day with other hours.

    One holiday is the kitchen's own, on the Tuesday of the third week, and one is public.

    Tomorrow an order is picked up in the afternoon: where that is a Sunday or a Monday, it is the day that differs.
    """
    today = today_of(at, now)
    tomorrow = today + timedelta(days=1)
    if tomorrow.weekday() in _OPEN - {_SUNDAY}:
        sunday = today + timedelta(days=14 + (_SUNDAY - today.weekday()) % 7)
        own = {"date": sunday.isoformat(), "opens": "06:00", "closes": "15:00", "reason": "Sunday market", "hands": 2}
    else:
        own = {"date": tomorrow.isoformat(), "opens": "06:30", "closes": "18:00", "reason": "Extra day", "hands": 2}
    ahead = public_holidays(PROFILE["country"][at], since=today + _BEYOND, language="en")
    on_working_days = [one for one in ahead if one.day.weekday() in _OPEN]
    closed = [(weeks(today)[2] - timedelta(days=4), "Staff holiday")]
    closed += [(one.day, one.name) for one in (on_working_days or ahead)[:1]]
    return {"days": [own], "closed": [{"date": day.isoformat(), "reason": reason} for day, reason in closed]}
