"""The cooling chart: the warmest point with its range, the air temperature, and the limits of the food codes."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from catalog.web.charts.svg import CARD, HAIR, INK, LINE, PLUM, SMALL, SOFT, TEXT, Drawing, sentences, share
from catalog.web.display import duration, temperature

SKY: Final = "#2b5476"
BEET: Final = "#a3122f"
_WASH: Final = "#f6dcbf"
_EDGE: Final = "#9a4b0b"

_PLOT: Final = 260
_WIDE: Final = 1000
_KEY_ROW: Final = 25
_SAMPLE: Final = 28
#: Minutes between marks of the axis of time.
_STEPS: Final = (10, 15, 30, 60, 120, 180, 240, 360, 480, 720, 1440, 2880)
_MARKS: Final = 5
#: Least distance between the numbers of two stages, in percent of the width.
_APART: Final = 4.5
#: Limit [°C] -> when it is reached, in words: likely, at the fastest, at the slowest.
Reached = Mapping[float, tuple[str, str, str]]
#: Limits closer than this to the time axis are labeled at the left, where the curve is still high.
_LOW_C: Final = 15.0


@dataclass(frozen=True, slots=True)
class CurveStage:
    """A stage in one air: its name, its start [min], and the air temperature [°C]."""

    name: str
    begins: float
    air_c: float


@dataclass(frozen=True, slots=True)
class Course:
    """Temperatures of the warmest point over time [°C], all of one length: as likely, and at both ends of the range."""

    minutes: Sequence[float]
    likely: Sequence[float]
    fast: Sequence[float]
    slow: Sequence[float]


def hour_marks(end: float, most: int) -> Iterator[float]:
    """Return round times from minute 0 to the end, at most ``most`` after the first."""
    step = next((step for step in _STEPS if end / step <= most), None) or 1440 * -(-int(end) // (1440 * most))
    at = 0
    while at <= end:
        yield at
        at += step


@dataclass(frozen=True, slots=True)
class _Scale:
    """Converts minutes and degrees to coordinates of the plot."""

    end: float
    warmest: float
    coldest: float

    def x(self, minutes: float) -> float:
        """Return the horizontal coordinate, from 0 to `_WIDE`."""
        return round(min(minutes / self.end, 1.0) * _WIDE, 1)

    def y(self, celsius: float) -> float:
        """Return the vertical coordinate, in pixels from the top."""
        return round((self.warmest - celsius) / (self.warmest - self.coldest) * _PLOT, 1)

    def points(self, minutes: Sequence[float], degrees: Sequence[float]) -> str:
        """Write a line's points."""
        return " ".join(f"{self.x(at)},{self.y(c)}" for at, c in zip(minutes, degrees, strict=True))


def cooling_curve(
    course: Course,
    stages: Sequence[CurveStage],
    limits: Sequence[float],
    *,
    title: str = "",
    reached: Reached = MappingProxyType({}),
) -> SafeString:
    """Draw the warmest point over time with its range, the air as steps, and the limits [°C] as level lines.

    ``reached`` has the times to limits as the page beside it writes them: likely, fastest and slowest.
    """
    drawing = Drawing(title or gettext("How it cools"), sentences(_described(course, stages, limits, reached)))
    scale = _scale(course, stages, limits)
    top = _key(drawing) + LINE
    _axis(drawing, scale, top)
    _stage_marks(drawing, scale, stages, top)
    _lines(drawing, scale, course, stages, top)
    _limits(drawing, scale, limits, top)
    drawing.height = _stage_names(drawing, stages, top + _PLOT + LINE + 16)
    return drawing.svg()


def _scale(course: Course, stages: Sequence[CurveStage], limits: Sequence[float]) -> _Scale:
    airs = [stage.air_c for stage in stages]
    warmest = max(*course.slow, *course.fast, *airs, *limits) + 4
    coldest = min(*course.fast, *airs, *limits)
    return _Scale(max(course.minutes[-1], 1.0), warmest, coldest - (warmest - coldest) * 0.06)


def _key(drawing: Drawing) -> int:
    samples = (
        (f'<path d="M0 11H{_SAMPLE}" stroke="{PLUM}" stroke-width="3"/>', gettext("warmest point, most likely")),
        (
            f'<rect y="4" width="{_SAMPLE}" height="14" fill="{_WASH}" stroke="{_EDGE}"/>',
            gettext("from fastest to slowest"),
        ),
        (
            f'<path d="M0 11H{_SAMPLE}" stroke="{SKY}" stroke-width="2" stroke-dasharray="6 3"/>',
            gettext("air around it"),
        ),
        (
            f'<path d="M0 11H{_SAMPLE}" stroke="{BEET}" stroke-width="1.5" stroke-dasharray="2 3"/>',
            gettext("limit of a rule"),
        ),
    )
    for number, (sample, words) in enumerate(samples):
        y = number * _KEY_ROW
        drawing.parts.append(
            f'<svg x="0" y="{y}" width="100%" height="{_KEY_ROW}">{sample}<text x="{_SAMPLE + 8}" y="16" '
            f'font-size="{TEXT}" fill="{INK}">{words}</text></svg>'
        )
    return len(samples) * _KEY_ROW + 8


def _axis(drawing: Drawing, scale: _Scale, top: int) -> None:
    drawing.rect(0, 100, y=top, height=_PLOT, fill=CARD, stroke=HAIR)
    for mark in hour_marks(scale.end, _MARKS):
        x = share(mark, scale.end)
        drawing.parts.append(
            f'<line x1="{float(x):.3f}%" x2="{float(x):.3f}%" y1="{top}" y2="{top + _PLOT + 5}" stroke="{HAIR}"/>'
        )
        anchor = "start" if not mark else "end" if x > 92 else "middle"
        drawing.text(_hours(mark), x, y=top + _PLOT + LINE, anchor=anchor, size=SMALL, fill=SOFT)


def _hours(minutes: float) -> str:
    return duration(minutes) if minutes % 60 else f"{minutes / 60:g} h"


def _stage_marks(drawing: Drawing, scale: _Scale, stages: Sequence[CurveStage], top: int) -> None:
    """Draw a line where a stage begins, and its number above the plot where there is room."""
    last = -100.0
    for number, stage in enumerate(stages, start=1):
        x = share(stage.begins, scale.end)
        if stage.begins > scale.end:
            break
        drawing.parts.append(
            f'<line x1="{float(x):.3f}%" x2="{float(x):.3f}%" y1="{top - 6}" y2="{top + _PLOT}" stroke="{INK}"/>'
        )
        if x - last >= _APART and x < 97:
            drawing.parts.append(
                f'<svg x="{float(x):.3f}%" y="{top - LINE}" width="20" height="{LINE}"><text x="4" y="13" '
                f'font-size="{SMALL}" fill="{INK}">{number}</text></svg>'
            )
            last = float(x)


def _lines(drawing: Drawing, scale: _Scale, course: Course, stages: Sequence[CurveStage], top: int) -> None:
    """Draw in a plot that is stretched along the axis of time while its lines keep their thickness."""
    fast, slow = scale.points(course.minutes, course.fast), scale.points(course.minutes, course.slow)
    back = scale.points(course.minutes[::-1], course.slow[::-1])
    even = 'fill="none" vector-effect="non-scaling-stroke"'
    drawing.parts.append(
        f'<svg x="0" y="{top}" width="100%" height="{_PLOT}" viewBox="0 0 {_WIDE} {_PLOT}" preserveAspectRatio="none">'
        f'<polygon points="{fast} {back}" fill="{_WASH}"/>'
        f'<polyline points="{fast}" {even} stroke="{_EDGE}" stroke-width="1"/>'
        f'<polyline points="{slow}" {even} stroke="{_EDGE}" stroke-width="1"/>'
        f'<polyline points="{_steps(scale, stages)}" {even} stroke="{SKY}" stroke-width="2" stroke-dasharray="6 3"/>'
        f'<polyline points="{scale.points(course.minutes, course.likely)}" {even} stroke="{PLUM}" stroke-width="3"/>'
        "</svg>"
    )


def _steps(scale: _Scale, stages: Sequence[CurveStage]) -> str:
    begins = [min(stage.begins, scale.end) for stage in stages]
    corners = zip(stages, pairwise([*begins, scale.end]), strict=True)
    return " ".join(scale.points([first, last], [stage.air_c] * 2) for stage, (first, last) in corners)


def _limits(drawing: Drawing, scale: _Scale, limits: Sequence[float], top: int) -> None:
    for limit in limits:
        y = top + scale.y(limit)
        drawing.parts.append(
            f'<line x1="0%" x2="100%" y1="{y}" y2="{y}" stroke="{BEET}" stroke-width="1.5" stroke-dasharray="2 3"/>'
        )
        x, anchor = ("0.8%", "start") if limit < _LOW_C else ("99.2%", "end")
        common = f'x="{x}" y="{y - 4:.1f}" font-size="{SMALL}" text-anchor="{anchor}"'
        words = gettext("limit %(temperature)s") % {"temperature": temperature(limit)}
        drawing.parts.append(
            f'<text {common} stroke="{CARD}" stroke-width="5" stroke-linejoin="round" fill="{CARD}">{words}</text>'
            f'<text {common} fill="{BEET}">{words}</text>'
        )


def _stage_names(drawing: Drawing, stages: Sequence[CurveStage], top: int) -> int:
    for number, stage in enumerate(stages, start=1):
        # Keep a figure and its unit on one line.
        air = temperature(stage.air_c, 1).replace(" ", "\u00a0")
        words = f"{number}  {stage.name}, {air}"
        top += drawing.heading(words, top=top, bold=False) + _KEY_ROW
    return top


def _described(
    course: Course, stages: Sequence[CurveStage], limits: Sequence[float], reached: Reached
) -> Iterator[str]:
    yield gettext("The warmest point begins at %(temperature)s") % {"temperature": temperature(course.likely[0])}
    for limit in limits:
        if limit in reached:
            yield _reached(temperature(limit), *reached[limit])
            continue
        found = [_fall(course.minutes, line, limit) for line in (course.likely, course.fast, course.slow)]
        yield _about(temperature(limit), *found)
    for stage in stages:
        words = {"stage": stage.name, "time": duration(stage.begins), "air": temperature(stage.air_c, 1)}
        if stage.begins:
            yield gettext("%(stage)s after %(time)s, air at %(air)s") % words
        else:
            yield gettext("%(stage)s from the start, air at %(air)s") % words


def _about(limit: str, likely: float | None, fast: float | None, slow: float | None) -> str:
    if likely is None:
        return gettext("It does not reach %(limit)s in the time shown") % {"limit": limit}
    if not likely:
        return gettext("It is at %(limit)s from the start") % {"limit": limit}
    later = gettext("later than shown")
    ends = [_rough(at) if at is not None else later for at in (fast, slow)]
    return _reached(limit, _rough(likely), *ends)


def _reached(limit: str, likely: str, fast: str, slow: str) -> str:
    words = {"limit": limit, "likely": likely, "fast": fast, "slow": slow}
    return (
        gettext("It is at %(limit)s after about %(likely)s: at the fastest %(fast)s, at the slowest %(slow)s") % words
    )


def _rough(minutes: float) -> str:
    return duration(5 * round(minutes / 5))


def _fall(minutes: Sequence[float], degrees: Sequence[float], limit: float) -> float | None:
    """Find when a line first falls to a limit."""
    if degrees[0] <= limit:
        return 0.0
    for (before, above), (after, below) in pairwise(zip(minutes, degrees, strict=True)):
        if below <= limit:
            return before + (after - before) * (above - limit) / (above - below)
    return None
