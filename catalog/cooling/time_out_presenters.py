"""Time out of the cold in words: how long a product stays cold, how long it may be out, and by what rule."""

from dataclasses import dataclass
from typing import Final

from catalog.cooling.time_out import TimeOutRow, TimesOut
from catalog.cooling.words import degrees_entered, fast_time, likely_time
from catalog.kitchen.presenters import clause_source, clause_words
from catalog.web import display
from costing.chilling import Profile, Range, TimeOutClause, TimeOutLimit

_OVER_A_DAY: Final = "over a day"


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
    """Time out of the cold: the table, the limit and start it is for, and the rule's own times with their sources."""

    rows: tuple[TimeOutRowShown, ...]
    limit_c: float
    start_c: float
    rule_times: tuple[tuple[str, str], ...]

    @property
    def own(self) -> TimeOutRowShown:
        """The row of how the product is carried, in the air the kitchen gave."""
        return next(row for row in self.rows if row.own)


def times_out_shown(times: TimesOut, rule: Profile) -> TimesOutShown:
    """Write out how long a product may be out of the cold."""
    rule_times = tuple((_rule_time(clause), clause_source(clause)) for clause in rule.times_out)
    rows = tuple(_row_shown(row, untimed=not rule.times_out) for row in times.rows)
    return TimesOutShown(rows, times.limit_c, times.start_c, rule_times)


def _row_shown(row: TimeOutRow, *, untimed: bool) -> TimeOutRowShown:
    if untimed and row.longest is not None:
        longest, limited_by = "no time stated", ""
    else:
        longest = "without end" if row.longest is None else _longest(row.longest)
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
    return f"{'less than ' if out.under else ''}{display.duration(out.allowed_minutes)}"


def _stays_cold(found: Range) -> str:
    if found.fast is None:
        return _OVER_A_DAY
    later = _OVER_A_DAY if found.likely is None else likely_time(found.likely)
    first = fast_time(found.fast)
    return first if first == later else f"{first} to {later}"


def _limited_by(longest: TimeOutLimit | None) -> str:
    if longest is None:
        return "the air is cold itself"
    return "the estimate, 10 mm in" if longest.clause is None else clause_words(longest.clause)


def _rule_time(clause: TimeOutClause) -> str:
    time = f"{'Less than ' if clause.under else ''}{display.duration(clause.minutes)}"
    if clause.back_minutes is not None:
        back = display.duration(clause.back_minutes)
        return f"{time}, whatever its temperature meanwhile; back into the cold only within less than {back}"
    if clause.warmest_c is None:
        return f"{time}, whatever its temperature meanwhile"
    return f"{time}, if no part of it gets above {display.temperature(clause.warmest_c)}"
