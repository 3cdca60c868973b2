"""Dates, times and durations as people say them. Months and weekdays are always written in full."""

from datetime import date, datetime
from fractions import Fraction
from typing import Final

from django.utils import timezone

from catalog.web.display.figures import Figure, rounded

_WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_HOUR: Final = 60
_TWO_DAYS: Final = 48 * _HOUR


def _local(value: datetime) -> datetime:
    return timezone.localtime(value) if timezone.is_aware(value) else value


def day(value: date | datetime | None) -> str:
    """Write a date: Saturday 6 February 2027."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        value = _local(value).date()
    return f"{_WEEKDAYS[value.weekday()]} {value.day} {_MONTHS[value.month - 1]} {value.year}"


def clock(value: datetime | None) -> str:
    """Write a time of day in the kitchen's zone: 16:00."""
    return "" if value is None else f"{_local(value):%H:%M}"


def moment(value: datetime | None) -> str:
    """Write a date and time: Saturday 6 February 2027, 16:00."""
    return "" if value is None else f"{day(value)}, {clock(value)}"


def window(start: datetime | None, end: datetime | None) -> str:
    """Write an interval; the day is named once when it begins and ends on it."""
    if start is None or end is None:
        return moment(start or end)
    same = _local(start).date() == _local(end).date()
    return f"{moment(start)} to {clock(end) if same else moment(end)}"


def duration(minutes: Figure | None) -> str:
    """Write minutes: 95 is 1 h 35 min, 3000 is 2 days 2 h."""
    if minutes is None or minutes == "":
        return ""
    exact = Fraction(str(minutes))
    if 0 < exact < Fraction(1, 2):
        return "under 1 min"
    whole = int(rounded(exact, 0))
    sign = "−" if whole < 0 else ""
    whole = abs(whole)
    if whole >= _TWO_DAYS:
        days, hours = divmod(int(rounded(Fraction(whole, _HOUR), 0)), 24)
        return f"{sign}{days} days" + (f" {hours} h" if hours else "")
    hours, rest = divmod(whole, _HOUR)
    parts = [f"{hours} h"] if hours else []
    if rest or not hours:
        parts.append(f"{rest} min")
    return sign + " ".join(parts)
