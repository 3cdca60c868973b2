"""Time out of the cold in words: how long a product stays cold, how long it may be out, and by what rule."""

from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.time_out import TimeOutRow, TimesOut
from catalog.cooling.words import degrees_entered, fast_time, length, likely_time
from catalog.kitchen.presenters import clause_source, clause_words
from catalog.web import display
from costing.chilling import DEEP_MM, Profile, Range, TimeOutClause, TimeOutLimit

_OVER_A_DAY: Final = marked("over a day")


@dataclass(frozen=True, slots=True)
class TimeOutRowShown:
    """A row of the table: how it is carried, the air, how long it stays cold and may be out, and what limits that."""

    carried: str
    air_c: float
    air: str
    deep: str
    mean: str
    longest: str
    limited_by: str
    own: bool
    endless: bool
    untimed: bool


@dataclass(frozen=True, slots=True)
class TimesOutShown:
    """Time out of the cold: the table, the limit and start it is for, and the rule's own times with their sources.

    ``depth`` is how deep in it one of the two places lies.
    """

    rows: tuple[TimeOutRowShown, ...]
    limit_c: float
    start_c: float
    rule_times: tuple[tuple[str, str], ...]
    depth: str

    @property
    def own(self) -> TimeOutRowShown:
        """The row of how the product is carried, in the air the kitchen gave."""
        return next(row for row in self.rows if row.own)


def times_out_shown(times: TimesOut, rule: Profile) -> TimesOutShown:
    """Write out how long a product may be out of the cold."""
    rule_times = tuple((_rule_time(clause), clause_source(clause)) for clause in rule.times_out)
    rows = tuple(_row_shown(row, untimed=not rule.times_out) for row in times.rows)
    return TimesOutShown(rows, times.limit_c, times.start_c, rule_times, length(DEEP_MM))


def _row_shown(row: TimeOutRow, *, untimed: bool) -> TimeOutRowShown:
    if untimed and row.longest is not None:
        longest, limited_by = gettext("no time stated"), ""
    else:
        longest = gettext("no limit") if row.longest is None else _longest(row.longest)
        limited_by = _limited_by(row.longest)
    return TimeOutRowShown(
        carried=str(row.carried.label),
        air_c=row.air_c,
        air=degrees_entered(row.air_c),
        deep=_stays_cold(row.deep),
        mean=_stays_cold(row.mean),
        longest=longest,
        limited_by=limited_by,
        own=row.own,
        endless=row.longest is None,
        untimed=untimed and row.longest is not None,
    )


def _longest(out: TimeOutLimit) -> str:
    time = display.duration(out.allowed_minutes)
    return gettext("less than %(time)s") % {"time": time} if out.under else time


def _stays_cold(found: Range) -> str:
    if found.fast is None:
        return gettext(_OVER_A_DAY)
    later = gettext(_OVER_A_DAY) if found.likely is None else likely_time(found.likely)
    first = fast_time(found.fast)
    return first if first == later else gettext("%(first)s to %(later)s") % {"first": first, "later": later}


def _limited_by(longest: TimeOutLimit | None) -> str:
    if longest is None:
        return gettext("the air itself is cold")
    if longest.clause is None:
        return gettext("the estimate, %(depth)s deep") % {"depth": length(DEEP_MM)}
    return clause_words(longest.clause)


def _rule_time(clause: TimeOutClause) -> str:
    time = display.duration(clause.minutes)
    words = {
        "time": gettext("Less than %(time)s") % {"time": time} if clause.under else time,
        "back": display.duration(clause.back_minutes),
        "warmest": display.temperature(clause.warmest_c),
    }
    if clause.back_minutes is not None:
        text = gettext("%(time)s, however warm it gets; back into the cold only within less than %(back)s")
    elif clause.warmest_c is None:
        text = gettext("%(time)s, however warm it gets")
    else:
        text = gettext("%(time)s, if no part of it gets above %(warmest)s")
    return text % words
