"""The full report of a plan: times with their range, the rule's verdict, and the curve."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from costing.chilling import places
from costing.chilling.chill import Freezing
from costing.chilling.conduction import Case, Timeline
from costing.chilling.layer_reports import LayerReport, layer_reports
from costing.chilling.plans import Doubt, Plan, doubt_of, freezes, freezes_as_stated, lengthened
from costing.chilling.profiles import COLD_C, HOT_C, LUKEWARM_C
from costing.chilling.ranges import FAST, LIKELY, SLOW, Range, at_point, cooling_range
from costing.chilling.verdicts import LegRange, Verdict, leg_ranges, rule_limits, verdict_of

CURVE_POINTS = 60
"""How many points a curve has, about."""

_ENDS = ("fast", "likely", "slow")
_PAST_COLD, _SOONER = 1.05, 1.5


@dataclass(frozen=True, slots=True)
class Reached:
    """When the warmest point reaches a temperature.

    Parameters
    ----------
    limit_c : float
        The temperature [°C].
    range : Range
        Time from minute 0, with its range; 0 when it begins that cold.
    """

    limit_c: float
    range: Range


@dataclass(frozen=True, slots=True)
class Curve:
    """Temperatures over time, for a chart; all of one length.

    Parameters
    ----------
    minutes : tuple of float
        When, from minute 0 [min].
    likely : tuple of float
        The warmest point as given [°C].
    fast : tuple of float
        The warmest point at the fast end [°C].
    slow : tuple of float
        The warmest point at the slow end [°C].
    mean : tuple of float
        The mean of the body as given [°C].
    air : tuple of float
        Air temperature [°C]; at a change of stage that of the ending stage.
    """

    minutes: tuple[float, ...]
    likely: tuple[float, ...]
    fast: tuple[float, ...]
    slow: tuple[float, ...]
    mean: tuple[float, ...]
    air: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """The report of a plan.

    Parameters
    ----------
    reached : tuple of Reached
        57.22, 21.11 and 5 °C, and the temperature from which it is cold, each once, falling.
    legs : tuple of LegRange
        One for each leg of the rule; none when it states no times.
    verdict : str
        `kept`: met even at the slow end; `likely`: met as given, but not at the slow end; `not kept`; `untimed`: the
        rule states no times; `freezes`: the rim freezes before the core is cold, and the estimate ends there.
    curve : Curve
        Temperatures until it is cold at the slow end, and through the stated minutes.
    freezes : Freezing or None
        The stage that freezes the rim before the core is cold.
    freezes_as_stated : Freezing or None
        The stage that freezes the rim within its stated minutes, whether the core is cold or not.
    cold_c : float
        The temperature from which it is cold [°C].
    layers : tuple of LayerReport
        The lower and the upper of two layers, each judged by itself; none with one.
    doubt : Doubt or None
        Why the slow end is open: then no time at the slow end is given, and a rule with times is not kept.
    """

    reached: tuple[Reached, ...]
    legs: tuple[LegRange, ...]
    verdict: Verdict
    curve: Curve
    freezes: Freezing | None
    freezes_as_stated: Freezing | None
    cold_c: float
    layers: tuple[LayerReport, ...] = ()
    doubt: Doubt | None = None

    @property
    def cold(self) -> Range:
        """When the warmest point is cold."""
        return next(one.range for one in self.reached if one.limit_c == self.cold_c)


def report(plan: Plan) -> Report:
    """Compute the report of a plan.

    Parameters
    ----------
    plan : Plan
        What cools.

    Returns
    -------
    Report
        Times, verdict and curve.
    """
    shown = sorted({HOT_C, LUKEWARM_C, COLD_C, plan.cold_c}, reverse=True)
    limits, case = list(dict.fromkeys((*shown, *rule_limits(plan)))), lengthened(plan)
    found = dict(zip(limits, cooling_range(case, limits), strict=True))
    doubt = doubt_of(plan, found[plan.cold_c].likely)
    if doubt is not None:
        found = {limit: replace(one, slow=None) for limit, one in found.items()}
    layers = layer_reports(plan)
    legs = leg_ranges(plan, *({limit: getattr(one, end) for limit, one in found.items()} for end in _ENDS))
    frozen = freezes(plan)
    return Report(
        reached=tuple(Reached(limit, found[limit]) for limit in shown),
        legs=legs,
        verdict=verdict_of([*legs, *(leg for layer in layers for leg in layer.legs)], frozen, doubt),
        curve=_curve(plan, case, found[plan.cold_c]),
        freezes=frozen,
        freezes_as_stated=freezes_as_stated(plan),
        cold_c=plan.cold_c,
        layers=layers,
        doubt=doubt,
    )


def _curve(plan: Plan, case: Case, cold: Range) -> Curve:
    ends = np.cumsum([stage.minutes for stage in case.stages])
    end = min(max(plan.minutes, (cold.slow or cold.likely or 0.0) * _PAST_COLD), float(ends[-1]))
    even = end * np.linspace(0.0, 1.0, CURVE_POINTS - len(ends)) ** _SOONER
    minutes = np.unique(np.concatenate([even, ends[ends < end]]))
    air = np.array([stage.ambient_c for stage in case.stages])[ends[:-1].searchsorted(minutes)]
    timeline = Timeline([at_point(case, point) for point in (LIKELY, FAST, SLOW)])
    spans = [timeline.span_of(at) for at in range(len(timeline.cases))]
    # Rounding must not move the last minute beyond its case.
    every = np.concatenate([np.minimum(begins + minutes, ends) for begins, ends in spans])
    found = places.temperatures(timeline, every).reshape(-1, len(spans), minutes.size)
    likely, fast, slow = found[places.CORE]
    return Curve(*(tuple(row.tolist()) for row in (minutes, likely, fast, slow, found[places.MEAN, 0], air)))
