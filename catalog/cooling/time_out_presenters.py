"""Time out of the cold in words: how long a product stays cold, how long it may be out, and by what rule."""

from dataclasses import dataclass
from typing import Final

from catalog.cooling.time_out import TimeOutRow, TimesOut
from catalog.cooling.words import degrees_entered, fast_time, likely_time
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
    rule_times = tuple((_rule_time(clause), clause.source) for clause in rule.times_out)
    return TimesOutShown(tuple(map(_row_shown, times.rows)), times.limit_c, times.start_c, rule_times)


def _row_shown(row: TimeOutRow) -> TimeOutRowShown:
    return TimeOutRowShown(
        carried=str(row.carried.label),
        air_c=row.air_c,
        air=degrees_entered(row.air_c),
        deep=_stays_cold(row.deep),
        mean=_stays_cold(row.mean),
        longest="without end" if row.longest is None else display.duration(row.longest.allowed_minutes),
        limited_by=_limited_by(row.longest),
        own=row.own,
        endless=row.longest is None,
    )


def _stays_cold(found: Range) -> str:
    if found.fast is None:
        return _OVER_A_DAY
    later = _OVER_A_DAY if found.likely is None else likely_time(found.likely)
    first = fast_time(found.fast)
    return first if first == later else f"{first} to {later}"


def _limited_by(longest: TimeOutLimit | None) -> str:
    if longest is None:
        return "the air is cold itself"
    return "the estimate, 10 mm in" if longest.clause is None else "the rule’s time"


def _rule_time(clause: TimeOutClause) -> str:
    time = display.duration(clause.minutes)
    if clause.warmest_c is None:
        return f"{time}, whatever its temperature meanwhile"
    return f"{time}, if no part of it gets above {display.temperature(clause.warmest_c)}"
