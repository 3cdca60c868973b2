"""The cooling curve as a chart and as a table, and when the warmest point reaches each limit."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from catalog.cooling.figures import CycleFigures
from catalog.cooling.words import degrees, fast_time, likely_time, slow_end, stage_name, stage_place
from catalog.web.charts import Course, CurveStage, cooling_curve, hour_marks
from costing.chilling import Curve

#: Rows of the table beside those where stages change, at most.
_MARKS: Final = 10
#: A rule's limit this close to 57 or 21 °C is drawn instead of it [°C].
_NEAR_C: Final = 4.0


@dataclass(frozen=True, slots=True)
class LimitShown:
    """When the warmest point reaches a temperature, in words."""

    limit_c: float
    fast: str
    likely: str
    slow: str


@dataclass(frozen=True, slots=True)
class CurveRow:
    """Temperatures at one time, as figures for columns with the unit in the heading."""

    minutes: float
    air: str
    fast: str
    likely: str
    slow: str
    mean: str


@dataclass(frozen=True, slots=True)
class CurveShown:
    """The curve drawn, and the same as rows of a table."""

    picture: SafeString
    rows: tuple[CurveRow, ...]


def curve_shown(found: CycleFigures) -> CurveShown:
    """Draw the curve, and write it as a table."""
    curve = _until(found.report.curve, found.curve_ends)
    return CurveShown(_picture(found, curve), tuple(_rows(found, curve)))


def limits_shown(found: CycleFigures) -> tuple[LimitShown, ...]:
    """Write when the warmest point reaches each limit."""
    ends = found.ends
    return tuple(
        LimitShown(
            reached.limit_c,
            fast_time(reached.range.fast, ends),
            likely_time(reached.range.likely, ends),
            slow_end(reached.range.slow, found.report.doubt, ends),
        )
        for reached in found.report.reached
    )


def _until(curve: Curve, ends: float | None) -> Curve:
    """Cut the curve at the estimate's end; at least two points remain."""
    if ends is None:
        return curve
    many = max(2, sum(at <= ends for at in curve.minutes))
    lines = (curve.minutes, curve.likely, curve.fast, curve.slow, curve.mean, curve.air)
    return Curve(*(line[:many] for line in lines))


def _picture(found: CycleFigures, curve: Curve) -> SafeString:
    cycle = found.cycle
    stages = [
        CurveStage(f"{stage_name(stage)}, {stage_place(stage)}", begins, stage.air_c)
        for stage, begins in zip(cycle.stages, cycle.begins, strict=True)
        if begins <= curve.minutes[-1]
    ]
    course = Course(curve.minutes, curve.likely, curve.fast, curve.slow)
    title = gettext("How %(name)s cools after “%(step)s”") % {"name": cycle.of, "step": cycle.after}
    return cooling_curve(course, stages, _drawn_limits(found), title=title, reached=_reached(found))


def _reached(found: CycleFigures) -> dict[float, tuple[str, str, str]]:
    """Return the times to each limit that is reached, in the words of the table."""
    if found.ends is not None:
        return {}
    likely = {each.limit_c: each.range.likely for each in found.report.reached}
    return {one.limit_c: (one.likely, one.fast, one.slow) for one in limits_shown(found) if likely[one.limit_c]}


def _drawn_limits(found: CycleFigures) -> list[float]:
    """Return 57, 21 and 5 °C, or the rule's own limits where those are near, and the rule's others."""
    plan = found.cycle.plan
    rule = {end for leg in plan.rule.legs for end in (leg.from_c, leg.to_c) if end is not None}
    common = {reached.limit_c for reached in found.report.reached}
    far = {limit for limit in common if all(abs(limit - other) > _NEAR_C for other in rule)}
    return sorted((limit for limit in rule | far if limit < plan.initial_c), reverse=True)


def _rows(found: CycleFigures, curve: Curve) -> Iterator[CurveRow]:
    """Read the curve at round times and where stages change."""
    end, begins = curve.minutes[-1], found.cycle.begins
    times = {*hour_marks(end, _MARKS), *(at for at in begins if at <= end)}
    airs = [stage.air_c for stage in found.cycle.stages]
    lines = (curve.fast, curve.likely, curve.slow, curve.mean)
    for at in sorted(times):
        air = next(air for air, first in zip(airs[::-1], begins[::-1], strict=True) if first <= at)
        fast, likely, slow, mean = (degrees(_read(curve.minutes, line, at)) for line in lines)
        yield CurveRow(at, degrees(air), fast, likely, slow, mean)


def _read(minutes: Sequence[float], line: Sequence[float], at: float) -> float:
    for (before, first), (after, last) in pairwise(zip(minutes, line, strict=True)):
        if at <= after:
            return first + (last - first) * (at - before) / (after - before)
    return line[-1]
