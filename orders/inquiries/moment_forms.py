"""A local time of the kitchen as a moment."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from catalog.web import display


def moment_in(zone: ZoneInfo, day: date, clock: time) -> datetime:
    """Convert a local time of the kitchen to a moment; of a time that occurs twice, the first.

    Raises
    ------
    ValidationError
        If the time does not exist on that day, because clocks are put forward.
    """
    moment = datetime.combine(day, clock, tzinfo=zone)
    real = datetime.fromtimestamp(moment.timestamp(), tz=zone)
    if (real.hour, real.minute) != (clock.hour, clock.minute):
        skipped = gettext(
            "%(time)s does not exist on %(day)s: the clocks go forward. Use %(next)s or later, or an hour earlier."
        )
        facts = {"time": display.clock(clock), "day": display.day(day), "next": display.clock(real.time())}
        raise ValidationError(skipped % facts, code="no_such_time")
    return moment
