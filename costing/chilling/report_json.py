"""A plan and its report as JSON: a case for the command `cooling`, and the result it prints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from costing.chilling.batches import BatchRemedy
from costing.chilling.baths import ice_kg
from costing.chilling.bodies import Block, Body, Cylinder, Stage
from costing.chilling.case_foods import PREPARATIONS
from costing.chilling.film_coefficients import AIRS, ICE_BATH
from costing.chilling.layer_reports import LayerReport
from costing.chilling.mixtures import Mixture
from costing.chilling.plans import Plan, ruling_clock
from costing.chilling.profiles import AMBIENT, COOKED
from costing.chilling.ranges import Range
from costing.chilling.reports import Report
from costing.chilling.verdicts import LegRange
from costing.chilling.vessels import VESSEL_KINDS, Fill, holds_kg

Json = dict[str, Any]


def case_to_json(plan: Plan, mixture: Mixture, above: Mixture | None = None) -> Json:
    """Write a plan as a case of the `cooling` command, its last stage as stated.

    Parameters
    ----------
    plan : Plan
        What cools.
    mixture : Mixture
        What it consists of; of two layers the lower.
    above : Mixture or None, optional
        What the layer on top consists of.

    Returns
    -------
    dict
        The case: sizes [mm], composition [% by mass], temperatures [°C], stages [min, °C, W/m2 K].
    """
    cooked = plan.rule.code != AMBIENT
    top = plan.top
    layer = (
        {}
        if top is None or above is None
        else {"on_top": {"height_mm": _mm(top.height_mm), **_food(above, top.initial_c)}}
    )
    # The two US rules follow from the preparation.
    ruled: Json = {} if plan.rule.code in (COOKED, AMBIENT) else {"rule": plan.rule.code}
    if plan.hot_before_min:
        ruled["hot_before_min"] = plan.hot_before_min
    return {
        **_place(plan),
        **ruled,
        **_food(mixture, plan.initial_c),
        **layer,
        "stages": _stages(plan),
        "preparation": next(words for words, is_cooked in PREPARATIONS.items() if is_cooked == cooked),
    }


def _food(mixture: Mixture, initial_c: float) -> Json:
    return {
        "composition_mass_percent": {name: round(share, 4) for name, share in mixture.percent.items()},
        "air_fraction": round(mixture.air, 4),
        "initial_c": initial_c,
    }


def _stages(plan: Plan) -> list[Json]:
    """Write the stages; of a batch in the kitchen's words, which say its lid and its ice bath too."""
    words = _words(plan)
    return [_stage(stage) for stage in plan.stages] if words is None else words


def _words(plan: Plan) -> list[Json] | None:
    """Return the stages of a batch in words; None where some have films that no word stands for."""
    found = [_in_words(stage, plan) for stage in plan.stages]
    written = [one for one in found if one is not None]
    return written if plan.fill is not None and len(written) == len(found) else None


def _in_words(stage: Stage, plan: Plan) -> Json | None:
    minutes, air_c, every = stage.minutes, stage.ambient_c, stage.stirred_every_min
    for word in (*AIRS, ICE_BATH):
        if plan.surroundings.stage(word, minutes, air_c, every) == stage:
            return {"minutes": minutes, "in": word, "ambient_c": air_c, **_stirred(stage)}
    return None


def _stirred(stage: Stage) -> Json:
    return {} if stage.stirred_every_min is None else {"stirred_every_min": stage.stirred_every_min}


def _stage(stage: Stage) -> Json:
    return {
        "minutes": stage.minutes,
        "ambient_c": stage.ambient_c,
        "h_top": round(stage.h_top, 4),
        "h_side": round(stage.h_side, 4),
        "h_bottom": round(stage.h_bottom, 4),
        **_stirred(stage),
    }


def _place(plan: Plan) -> Json:
    if plan.fill is None:
        body = replace(plan.body, height_mm=plan.case.lower_mm)
        return {"geometry": _geometry(body)}
    vessel, around = plan.fill.vessel, plan.surroundings
    sizes = {key: _mm(getattr(vessel, key)) for key in VESSEL_KINDS[vessel.kind].sizes}
    # Films as numbers are those that the food meets, lid and all.
    lid = vessel.lid and _words(plan) is not None
    walls = {"wall": around.wall, "wall_mm": around.wall_mm, "lid": lid, "stands_on": around.base}
    described = {"kind": vessel.kind, **sizes, **walls, "count": plan.fill.count}
    return {"vessel": described, "mass_kg": round(plan.fill.kg, 4)}


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
    layers = {"layers": [_layer(one) for one in found.layers]} if found.layers else {}
    doubt = (
        None if found.doubt is None else {"thinnest_mm": _mm(found.doubt.thinnest_mm), "most_mm": found.doubt.most_mm}
    )
    return {
        "rule": {
            "code": plan.rule.code,
            "title": plan.rule.title,
            "source": plan.rule.source,
            "binding": plan.rule.binding,
            "kind": plan.rule.kind,
            "seen": plan.rule.seen,
        },
        "verdict": found.verdict,
        "legs": [_leg(leg) for leg in found.legs],
        "minutes_to": [{"c": round(one.limit_c, 2), **_ranged(one.range)} for one in found.reached],
        "stated_minutes": plan.minutes,
        "ruling_clock": clock,
        "ready_minutes": None if minutes is None else round(minutes, 1),
        "freezes": None if frozen is None else {"stage": frozen.stage, "minutes": round(frozen.minutes, 1)},
        **layers,
        **({} if plan.fill is None else {"slow_end_open": doubt}),
    }


def _layer(one: LayerReport) -> Json:
    return {
        "layer": one.name,
        "initial_c": one.initial_c,
        "peak_c": round(one.peak_c, 2),
        "peak_minute": round(one.peak_minute, 1),
        "warmest_c": round(one.warmest_c, 2),
        "minutes_above_cold": _ranged(one.above_cold),
        "legs": [_leg(leg) for leg in one.legs],
    }


def fill_to_json(fill: Fill, plan: Plan) -> Json:
    """Write how a batch stands in its vessels.

    Parameters
    ----------
    fill : Fill
        The batch in its vessels.
    plan : Plan
        What cools.

    Returns
    -------
    dict
        Mass and height of each filling [kg, mm], what a vessel holds [kg], the body computed, and with an ice bath the
        ice that melts until the whole batch is cold [kg]; `brimful` where they are nearly full to the rim.
    """
    bathed = any(stage.bath for stage in plan.stages)
    ice = ice_kg(fill.kg, plan.food, plan.initial_c, plan.cold_c)
    return {
        "kind": fill.vessel.kind,
        "count": fill.count,
        "each_kg": round(fill.each_kg, 3),
        "fill_mm": _mm(fill.height_mm),
        "holds_kg": round(holds_kg(fill.vessel, fill.rho), 3),
        "computed_as": _geometry(plan.body),
        "ice_kg": round(ice, 2) if bathed else None,
        **({"brimful": True} if fill.is_brimful else {}),
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


def remedies_to_json(found: Sequence[BatchRemedy], *, timed: bool = True) -> list[Json]:
    """Write what was tried for a batch.

    Parameters
    ----------
    found : sequence of BatchRemedy
        Changes, each with how the plan does with it.
    timed : bool, optional
        Whether the rule states times; where not, each verdict is `untimed`.

    Returns
    -------
    list of dict
        One for each: vessels [mm high], minutes in the ice bath, verdict, and when it is cold [min].
    """
    return [
        {
            "change": one.change,
            "count": one.fill.count,
            "fill_mm": _mm(one.fill.height_mm),
            "stirred_every_min": one.stirred_every_min,
            "bath_minutes": one.bath_minutes or None,
            "bath_to_c": round(one.bath_to_c, 2) if one.bath_minutes else None,
            "verdict": one.trial.verdict if timed else "untimed",
            "cold_likely": _minutes(one.trial.cold_likely),
            "cold_slow": _minutes(one.trial.cold_slow),
        }
        for one in found
    ]


def _minutes(minutes: float | None) -> float | None:
    return None if minutes is None else round(minutes, 1)
