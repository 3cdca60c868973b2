"""Two layers, each judged by itself: the warm one cools, and the cold one warms first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, nextafter
from typing import Literal

import numpy as np

from costing.chilling import places
from costing.chilling.chill import cooling_passes, minutes_of
from costing.chilling.conduction import Timeline
from costing.chilling.crossings import Track
from costing.chilling.layers import contact_c
from costing.chilling.lobatto import Floats
from costing.chilling.plans import Plan, lengthened
from costing.chilling.ranges import FAST, LIKELY, SLOW, Range, at_point
from costing.chilling.verdicts import LegRange, Times, leg_ranges, rule_limits

LayerName = Literal["lower", "upper"]
_NAMES: tuple[LayerName, ...] = ("lower", "upper")
_ENDS = (FAST, LIKELY, SLOW)
_SHARES: Floats = np.linspace(0.0, 1.0, 97) ** 4
_MIDDLES = 2
_MEETING_MIN = 1.0


@dataclass(frozen=True, slots=True)
class LayerReport:
    """How one of two layers does.

    Parameters
    ----------
    name : str
        `lower` or `upper`.
    initial_c : float
        Temperature all through at minute 0 [°C].
    peak_c : float
        The warmest its middle gets, as given [°C].
    peak_minute : float
        When [min].
    warmest_c : float
        The warmest any of it gets, as given: a cold layer is warmest where it meets the other [°C].
    above_cold : Range
        How long some of it is warmer than cold [min]; None where it stays so.
    legs : tuple of LegRange
        The rule's legs for its warmest point. The clock of a layer that was cold starts at minute 0.
    """

    name: LayerName
    initial_c: float
    peak_c: float
    peak_minute: float
    warmest_c: float
    above_cold: Range
    legs: tuple[LegRange, ...]


def layer_reports(plan: Plan) -> tuple[LayerReport, ...]:
    """Judge two layers, each by itself.

    Parameters
    ----------
    plan : Plan
        What cools.

    Returns
    -------
    tuple of LayerReport
        The lower and the upper layer; none where there is one only.
    """
    case = lengthened(plan)
    if case.top is None:
        return ()
    timeline = Timeline([at_point(case, point) for point in _ENDS])
    grid = np.concatenate([begin + (end - begin) * _SHARES for begin, end in _spans(timeline)])
    track = Track(lambda times: places.layers(timeline, times), grid)
    begins = (case.initial_c, case.top.initial_c)
    contact = contact_c(begins[0], case.food, begins[1], case.top.food)
    return tuple(_report(plan, timeline, track, row, (begins[row], begins[1 - row], contact)) for row in (0, 1))


def _spans(timeline: Timeline) -> Sequence[tuple[float, float]]:
    return list(zip(timeline.starts.tolist(), timeline.ends.tolist(), strict=True))


def _report(plan: Plan, timeline: Timeline, track: Track, row: int, begins: tuple[float, float, float]) -> LayerReport:
    begin_c, other_c, contact = begins
    limits = rule_limits(plan)
    wanted = [one for case in range(len(_ENDS)) for one in cooling_passes(timeline, row, limits, case)]
    passed = iter(minutes_of(track.passes(wanted)))
    ends = []
    for case in range(len(_ENDS)):
        since = timeline.span_of(case)[0]
        ends.append({limit: None if (at := next(passed)) is None else at - since for limit in limits})
    since, until = timeline.span_of(_ENDS.index(LIKELY))
    within = (track.grid >= since) & (track.grid <= until)
    # At minute 0 the one node where the layers meet has neither layer's temperature.
    later = within & (track.grid >= since + _MEETING_MIN)
    warmest = max(begin_c, contact, float(track.values[row, later].max()))
    middle = track.values[_MIDDLES + row, within]
    peak = int(middle.argmax())
    fast, likely, slow = (0.0 if warmest <= plan.cold_c else times[plan.cold_c] for times in ends)
    return LayerReport(
        name=_NAMES[row],
        initial_c=begin_c,
        peak_c=float(middle[peak]),
        peak_minute=float(track.grid[within][peak] - since),
        warmest_c=warmest,
        above_cold=Range(fast, likely, slow, ()),
        legs=_legs(plan, ends, warmest, cold=begin_c < other_c),
    )


def _legs(plan: Plan, ends: Sequence[Times], warmest: float, *, cold: bool) -> tuple[LegRange, ...]:
    """Return the legs of a layer: the clock of the cold one starts at minute 0, whatever the other had before."""
    if not cold:
        return leg_ranges(plan, *ends, initial_c=warmest)
    return leg_ranges(plan, *ends, initial_c=min(warmest, _clock_c(plan)), hot_before_min=0.0)


def _clock_c(plan: Plan) -> float:
    """Return a temperature at which the rule's clock runs already."""
    starts = [leg.from_c for leg in plan.rule.legs if leg.from_c is not None]
    return nextafter(max(starts), -inf) if starts else inf
