"""Dates, times and durations as people write them: Saturday, February 6, 2027, 4:00 PM.

The order of a date and the clock are those of the kitchen's locale (Unicode CLDR, through babel); the names of months
and days are in the language of the text. Months and weekdays are written in full; :func:`short_day` is for tables.
"""

from datetime import date, datetime, time
from fractions import Fraction
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from babel.core import Locale, UnknownLocaleError
from babel.dates import DateTimePattern, format_date, get_timezone_name, parse_pattern
from django.utils import timezone
from django.utils.translation import gettext

from catalog.records.moments import StoredOffset
from catalog.web.display.figures import Figure, rounded
from catalog.web.display.settings import current

_HOUR: Final = 60
_TWO_DAYS: Final = 48 * _HOUR
#: The language of the text, and the region whose dates are written where the kitchen's country writes none in it.
_LANGUAGE: Final = "en"
_ELSEWHERE: Final = "en_150"
#: CLDR parts the clock from AM and PM by a narrow space, which many fonts and plain mails do not have.
_NARROW_SPACE: Final = "\u202f"


def local(value: datetime) -> datetime:
    """Return a moment in the kitchen's zone; one of a stored text has the hour that stands in it.

    So a sent quote reads the same on every page, in its PDF and in its mails after the kitchen's zone was corrected.
    """
    if not timezone.is_aware(value):
        return value
    here = timezone.localtime(value)
    return value if isinstance(value.tzinfo, StoredOffset) and value.utcoffset() != here.utcoffset() else here


@lru_cache(maxsize=256)
def _text_locale(locale: str) -> Locale:
    """Return the locale of words: the text's language in the country of the kitchen's locale."""
    territory = Locale.parse(locale).territory
    try:
        return Locale.parse(f"{_LANGUAGE}_{territory}") if territory else Locale.parse(_LANGUAGE)
    except UnknownLocaleError:
        return Locale.parse(_ELSEWHERE)


@lru_cache(maxsize=256)
def _clock_pattern(locale: str) -> DateTimePattern:
    shape = Locale.parse(locale).time_formats["short"].pattern
    return parse_pattern(shape.replace(_NARROW_SPACE, " "))


@lru_cache(maxsize=4096)
def _day_text(value: date, locale: str, length: str) -> str:
    return str(format_date(value, format=length, locale=_text_locale(locale)))


@lru_cache(maxsize=4096)
def _clock_text(value: time, locale: str) -> str:
    return str(_clock_pattern(locale).apply(value, _text_locale(locale)))


def _date_of(value: date) -> date:
    return local(value).date() if isinstance(value, datetime) else value


def day(value: date | datetime | None) -> str:
    """Write a date: Saturday, February 6, 2027, or Saturday, 6 February 2027."""
    return "" if value is None else _day_text(_date_of(value), current().locale, "full")


def day_alone(value: date | datetime | None) -> str:
    """Write a date without its weekday: February 6, 2027."""
    return "" if value is None else _day_text(_date_of(value), current().locale, "long")


def short_day(value: date | datetime | None) -> str:
    """Write a date for a narrow column: Feb 6, 2027."""
    return "" if value is None else _day_text(_date_of(value), current().locale, "medium")


def weekday(value: date | datetime | None) -> str:
    """Write the day of the week: Saturday."""
    return "" if value is None else _day_text(_date_of(value), current().locale, "EEEE")


def month(value: date) -> str:
    """Write a month without its year: February."""
    return _day_text(value, current().locale, "MMMM")


def clock(value: datetime | time | None) -> str:
    """Write a time of day, in the kitchen's zone: 4:00 PM, or 16:00."""
    if value is None:
        return ""
    written = value if isinstance(value, time) else local(value).time()
    return _clock_text(written.replace(tzinfo=None, second=0, microsecond=0), current().locale)


def moment(value: datetime | None) -> str:
    """Write a date and time: Saturday, February 6, 2027, 4:00 PM."""
    return "" if value is None else f"{day(value)}, {clock(value)}"


def window(start: datetime | None, end: datetime | None) -> str:
    """Write an interval; the day is named once when it begins and ends on it."""
    if start is None or end is None:
        return moment(start or end)
    same = local(start).date() == local(end).date()
    return gettext("%(start)s to %(end)s") % {"start": moment(start), "end": clock(end) if same else moment(end)}


def zone_name(value: datetime) -> str:
    """Name the kitchen's zone as people do: Eastern Time; by its offset where a stored moment has another."""
    here = local(value)
    if isinstance(here.tzinfo, ZoneInfo) and here.tzinfo.key != "UTC":
        name = get_timezone_name(
            here.tzinfo, width="long", zone_variant="generic", locale=_text_locale(current().locale)
        )
        return str(name)
    offset = here.tzname() or ""
    return (offset if offset.startswith("UTC") else f"UTC{offset}").replace("-", "−")


def duration(minutes: Figure | None) -> str:
    """Write minutes: 95 is 1 h 35 min, 3000 is 2 days 2 h."""
    if minutes is None or minutes == "":
        return ""
    exact = Fraction(str(minutes))
    if 0 < exact < Fraction(1, 2):
        return gettext("less than a minute")
    whole = int(rounded(exact, 0))
    sign = "−" if whole < 0 else ""
    whole = abs(whole)
    if whole >= _TWO_DAYS:
        days, hours = divmod(int(rounded(Fraction(whole, _HOUR), 0)), 24)
        return sign + gettext("%(days)s days") % {"days": days} + (f" {hours} h" if hours else "")
    hours, rest = divmod(whole, _HOUR)
    parts = [f"{hours} h"] if hours else []
    if rest or not hours:
        parts.append(f"{rest} min")
    return sign + " ".join(parts)
