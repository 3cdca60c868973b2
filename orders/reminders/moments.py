"""When a reminder goes out: plain dates and the kitchen's clock."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

#: Hours of the kitchen's clock at which reminders can go out. No clock change takes one of them away or repeats it.
HOURS: Final = range(6, 22)
#: How long after its moment a reminder may still go out; later it was missed.
LATE_AT_MOST: Final = timedelta(days=3)


def moment_of(day: date, *, days: int, late: bool, hour: int, zone: ZoneInfo) -> datetime:
    """Return when a reminder goes out, in UTC: so many days before its day, or after it where it is ``late`` [days]."""
    apart = timedelta(days=days)
    return datetime.combine(day + apart if late else day - apart, time(hour), tzinfo=zone).astimezone(UTC)
