"""Changes with which a plan would meet its rule: less depth, less width, other air, another mold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, inf

from costing.chilling.bodies import Block, Cylinder, Stage
from costing.chilling.chill import Freezing
from costing.chilling.crossings import WARM_C
from costing.chilling.layer_reports import LayerReport, layer_reports
from costing.chilling.plans import Doubt, Plan, doubt_of, freezes, lengthened
from costing.chilling.profiles import results
from costing.chilling.ranges import FAST, LIKELY, SLOW, Point, at_point, times_to
from costing.chilling.verdicts import LegRange, Times, Verdict, leg_ranges, may_never, rule_limits, verdict_of

STEP_MM, SMALLEST_MM = 0.5, 10.0
"""How finely sizes are tried, and from which on [mm]: nobody spreads a filling thinner (common practice, no source)."""

_PARTS = 8

BLAST_C = 1.0
"""Air of a blast chiller that is asked for [°C]: warm enough to freeze nothing."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """The largest size that meets every leg of the rule.

    Parameters
    ----------
    likely_mm : float or None
        As given [mm]; None when even the smallest size tried does not meet the rule.
    slow_mm : float or None
        At the slow end too [mm].
    """

    likely_mm: float | None
    slow_mm: float | None


@dataclass(frozen=True, slots=True)
class Trial:
    """A changed plan, checked against the same rule.

    Parameters
    ----------
    plan : Plan
        The other plan.
    legs : tuple of LegRange
        One for each leg of the rule.
    cold_likely : float or None
        When the core is cold as given [min].
    cold_slow : float or None
        When the core is cold at the slow end [min].
    freezes : Freezing or None
        The stage that freezes the rim before the core is cold.
    layers : tuple of LayerReport
        The lower and the upper of two layers; none with one.
    doubt : Doubt or None
        Why the slow end is open, as in `Report`.
    cold_fast : float or None
        When the core is cold at the fast end [min].
    """

    plan: Plan
    legs: tuple[LegRange, ...]
    cold_likely: float | None
    cold_slow: float | None
    freezes: Freezing | None
    layers: tuple[LayerReport, ...] = ()
    doubt: Doubt | None = None
    cold_fast: float | None = None

    @property
    def never(self) -> bool:
        """Whether it may never get cold where it stands: `may_never`."""
        return may_never(self.cold_slow, self.freezes, self.doubt)

    @property
    def verdict(self) -> Verdict:
        """The rule's verdict for it, as in `Report.verdict`."""
        legs = [*self.legs, *(leg for layer in self.layers for leg in layer.legs)]
        return verdict_of(legs, self.freezes, self.doubt)


def is_faster(found: Trial, now: Trial) -> bool:
    """Say whether a change makes something cold sooner than it is now, and freezes nothing.

    Parameters
    ----------
    found, now : Trial
        With the change, and without.

    Returns
    -------
    bool
        By the slow end; where that is open, by the likely time.
    """
    return found.freezes is None and _takes(found) < _takes(now)


def _takes(found: Trial) -> tuple[float, float]:
    slow, likely = (inf if one is None else one for one in (found.cold_slow, found.cold_likely))
    return slow, likely


def trial(plan: Plan) -> Trial:
    """Check a plan at the ends of its range.

    Parameters
    ----------
    plan : Plan
        Any plan.

    Returns
    -------
    Trial
        How it does.
    """
    return trials([plan])[0]


def trials(plans: Sequence[Plan]) -> list[Trial]:
    """Check several plans at the ends of their range, solved together.

    Parameters
    ----------
    plans : sequence of Plan
        One or more, under one rule.

    Returns
    -------
    list of Trial
        Results in the order of the plans.
    """
    ends = (FAST, LIKELY, SLOW)
    found = iter(_times([(plan, point) for plan in plans for point in ends]))
    return [_trial(plan, *(next(found) for _ in ends)) for plan in plans]


def _trial(plan: Plan, fast: Times, likely: Times, slow: Times) -> Trial:
    cold = likely[plan.cold_c]
    doubt = doubt_of(plan, cold)
    slow = slow if doubt is None else dict.fromkeys(slow)
    legs = leg_ranges(plan, fast, likely, slow)
    return Trial(plan, legs, cold, slow[plan.cold_c], freezes(plan), layer_reports(plan), doubt, fast[plan.cold_c])


def _times(wanted: Sequence[tuple[Plan, Point]]) -> list[dict[float, float | None]]:
    limits = rule_limits(wanted[0][0]) if wanted else []
    found = times_to([at_point(lengthened(plan), point) for plan, point in wanted], limits)
    return [dict(zip(limits, times, strict=True)) for times in found]


def depth(plan: Plan) -> Sizes:
    """Find the greatest depth that meets the rule, all else unchanged.

    Parameters
    ----------
    plan : Plan
        What cools.

    Returns
    -------
    Sizes
        Depths rounded down to half a millimetre; the present depth where it meets the rule. Of two layers each is as
        much thinner as the other.
    """
    return _sizes(plan, lambda mm: _as_deep(plan, mm), plan.body.height_mm)


def _as_deep(plan: Plan, mm: float) -> Plan:
    body = replace(plan.body, height_mm=mm)
    if plan.top is None:
        return replace(plan, body=body)
    top = replace(plan.top, height_mm=plan.top.height_mm * mm / plan.body.height_mm)
    return replace(plan, body=body, top=top)


def diameter(plan: Plan) -> Sizes | None:
    """Find the greatest diameter, or width of a block, that meets the rule at the same depth.

    Parameters
    ----------
    plan : Plan
        What cools. A block's length goes with its width.

    Returns
    -------
    Sizes or None
        Diameters or widths rounded down to half a millimetre; None for a slab.
    """
    body = plan.body
    if isinstance(body, Cylinder):
        return _sizes(plan, lambda mm: replace(plan, body=Cylinder(mm, body.height_mm)), body.diameter_mm)
    if isinstance(body, Block):
        longer = body.length_mm / body.width_mm
        return _sizes(plan, lambda mm: replace(plan, body=Block(mm * longer, mm, body.height_mm)), body.width_mm)
    return None


def _sizes(plan: Plan, sized: Callable[[float], Plan], present_mm: float) -> Sizes:
    """Search the sizes up to the present one for both points together; larger sizes cool slower."""
    steps = range(ceil(SMALLEST_MM / STEP_MM), floor(present_mm / STEP_MM) + 1)
    sizes = list(dict.fromkeys([*(step * STEP_MM for step in steps), present_mm]))
    between = {point: (-1, len(sizes)) for point in (LIKELY, SLOW)}
    while wanted := [(point, at) for point, (low, high) in between.items() for at in _among(low, high)]:
        plans = [(sized(sizes[at]), point) for point, at in wanted]
        found = _times(plans)
        for (point, at), (other, _), times in zip(wanted, plans, found, strict=True):
            before, hottest_c = plan.hot_before_min, plan.case.hottest_c
            legs = results(plan.rule, hottest_c, times.__getitem__, hot_before_min=before)
            met = all(each.met for each in legs)
            met = met and _layers_met(other, point)
            between[point] = _narrowed(*between[point], at, met)
    likely, slow = (None if low < 0 else sizes[low] for low, _ in between.values())
    return Sizes(likely, slow)


def _layers_met(plan: Plan, point: Point) -> bool:
    """Return whether each of two layers meets the rule by itself, at the likely point or the slow end."""
    legs = [leg for layer in layer_reports(plan) for leg in layer.legs]
    return all((leg.likely if point == LIKELY else leg.slow).met for leg in legs)


def _narrowed(low: int, high: int, at: int, met: bool) -> tuple[int, int]:
    """Narrow a bracket; a size that meets the rule is ignored above one that does not."""
    if at >= high:
        return low, high
    return (at, high) if met else (low, at)


def _among(low: int, high: int) -> list[int]:
    """Return evenly spaced positions between two."""
    apart = high - low
    return sorted({low + apart * part // _PARTS for part in range(1, _PARTS)} - {low})


def with_air(plan: Plan, air: str) -> Trial:
    """Check the same body in other air.

    Parameters
    ----------
    plan : Plan
        What cools.
    air : str
        `fan`: every cold stage keeps its air temperature and gets a fan, unless its air moves more already; `blast`:
        one stage in a blast chiller at 1 °C replaces all cold stages.

    Returns
    -------
    Trial
        How it does.
    """
    warm = [stage for stage in plan.stages if stage.ambient_c >= WARM_C]
    cold = [stage for stage in plan.stages if stage.ambient_c < WARM_C]
    if air == "blast":
        stages = [*warm, plan.surroundings.stage("blast", sum(stage.minutes for stage in cold), BLAST_C)]
    else:
        stages = [_stronger(plan, stage, air) for stage in plan.stages]
    return trial(replace(plan, stages=tuple(stages)))


def _stronger(plan: Plan, stage: Stage, air: str) -> Stage:
    other = plan.surroundings.stage(air, stage.minutes, stage.ambient_c)
    return other if stage.ambient_c < WARM_C and not stage.bath and other.h_top > stage.h_top else stage


def without_room_time(plan: Plan, air: str | None = None) -> Trial | None:
    """Check the same body without its time at room temperature.

    Parameters
    ----------
    plan : Plan
        What cools.
    air : str or None, optional
        Other air in addition, as for `with_air`.

    Returns
    -------
    Trial or None
        The result; None when the body is never at room temperature, or nowhere else.
    """
    cold = tuple(stage for stage in plan.stages if stage.ambient_c < WARM_C)
    if not cold or len(cold) == len(plan.stages):
        return None
    straight = replace(plan, stages=cold)
    return trial(straight) if air is None else with_air(straight, air)
