"""A plan and its report as JSON: a case for the command `cooling`, and the result it prints."""

from __future__ import annotations

from typing import Any

from costing.chilling.bodies import Block, Body, Cylinder
from costing.chilling.cases import PREPARATIONS
from costing.chilling.mixtures import Mixture
from costing.chilling.plans import Plan, ruling_clock
from costing.chilling.profiles import AMBIENT
from costing.chilling.ranges import Range
from costing.chilling.reports import Report
from costing.chilling.verdicts import LegRange

Json = dict[str, Any]


def case_to_json(plan: Plan, mixture: Mixture) -> Json:
    """Write a plan as a case of the `cooling` command, its last stage as stated.

    Parameters
    ----------
    plan : Plan
        What cools.
    mixture : Mixture
        What it consists of.

    Returns
    -------
    dict
        The case: sizes [mm], composition [% by mass], temperatures [°C], stages [min, °C, W/m2 K].
    """
    cooked = plan.rule.code != AMBIENT
    return {
        "geometry": _geometry(plan.body),
        "composition_mass_percent": {name: round(share, 4) for name, share in mixture.percent.items()},
        "air_fraction": round(mixture.air, 4),
        "initial_c": plan.initial_c,
        "stages": [
            {
                "minutes": stage.minutes,
                "ambient_c": stage.ambient_c,
                "h_top": round(stage.h_top, 4),
                "h_side": round(stage.h_side, 4),
                "h_bottom": round(stage.h_bottom, 4),
            }
            for stage in plan.stages
        ],
        "preparation": next(words for words, is_cooked in PREPARATIONS.items() if is_cooked == cooked),
    }


def _geometry(body: Body) -> Json:
    if isinstance(body, Cylinder):
        return {"shape": "cylinder", "diameter_mm": _mm(body.diameter_mm), "height_mm": _mm(body.height_mm)}
    if isinstance(body, Block):
        sides = {"length_mm": _mm(body.length_mm), "width_mm": _mm(body.width_mm)}
        return {"shape": "block", **sides, "height_mm": _mm(body.height_mm)}
    return {"shape": "slab", "height_mm": _mm(body.height_mm)}


def _mm(size: float) -> float:
    return round(size, 2)


def report_to_json(plan: Plan, found: Report) -> Json:
    """Write the report of a plan.

    Parameters
    ----------
    plan : Plan
        What cools.
    found : Report
        Its report.

    Returns
    -------
    dict
        Rule, verdict, its legs, minutes to each limit with their range, and the two clocks. Temperatures [°C], times
        [min]; null where something is never reached.
    """
    clock, minutes = ruling_clock(plan.minutes, None if found.freezes else found.cold.slow)
    frozen = found.freezes
    return {
        "rule": {
            "code": plan.rule.code,
            "title": plan.rule.title,
            "source": plan.rule.source,
            "binding": plan.rule.binding,
        },
        "verdict": found.verdict,
        "legs": [_leg(leg) for leg in found.legs],
        "minutes_to": [{"c": round(one.limit_c, 2), **_ranged(one.range)} for one in found.reached],
        "stated_minutes": plan.minutes,
        "ruling_clock": clock,
        "ready_minutes": None if minutes is None else round(minutes, 1),
        "freezes": None if frozen is None else {"stage": frozen.stage, "minutes": round(frozen.minutes, 1)},
    }


def _leg(leg: LegRange) -> Json:
    return {
        "from_c": None if leg.leg.from_c is None else round(leg.leg.from_c, 2),
        "to_c": round(leg.leg.to_c, 2),
        "within_minutes": leg.leg.minutes,
        **_ranged(Range(leg.fast.minutes, leg.likely.minutes, leg.slow.minutes, ())),
        "kept": leg.likely.met,
        "kept_at_the_slow_end": leg.slow.met,
    }


def _ranged(times: Range) -> Json:
    return {
        name: None if minutes is None else round(minutes, 1)
        for name, minutes in (("fast", times.fast), ("likely", times.likely), ("slow", times.slow))
    }
