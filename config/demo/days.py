"""The days that differ in the invented kitchen's calendar, counted from the day on which it is prepared."""

from datetime import datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from catalog.kitchen.public_holidays import public_holidays
from config.demo.profile import HOURS, PROFILE

#: A holiday is closed only where none of the stories ahead is made or handed over near it.
_BEYOND: Final = timedelta(days=35)
_SUNDAY: Final = 6
_OPEN: Final = frozenset(day for day, *_hours in HOURS)


def days_that_differ(at: int, now: datetime) -> dict[str, Any]:
    """Return closed days and dated hours of a profile as the Book has them: one holiday, one day with other hours.

    Tomorrow an order is picked up in the afternoon: where that is a Sunday or a Monday, it is the day that differs.
    """
    today = now.astimezone(ZoneInfo(PROFILE["time_zone"][at])).date()
    tomorrow = today + timedelta(days=1)
    if tomorrow.weekday() in _OPEN - {_SUNDAY}:
        sunday = today + timedelta(days=14 + (_SUNDAY - today.weekday()) % 7)
        own = {"date": sunday.isoformat(), "opens": "06:00", "closes": "15:00", "reason": "Sunday market", "hands": 2}
    else:
        own = {"date": tomorrow.isoformat(), "opens": "06:30", "closes": "18:00", "reason": "Extra day", "hands": 2}
    ahead = public_holidays(PROFILE["country"][at], since=today + _BEYOND, language="en")
    on_working_days = [one for one in ahead if one.day.weekday() in _OPEN]
    closed = [{"date": one.day.isoformat(), "reason": one.name} for one in (on_working_days or ahead)[:1]]
    return {"days": [own], "closed": closed}
