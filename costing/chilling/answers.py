"""The answer to a case as the command prints it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from costing.chilling import places
from costing.chilling.bodies import Stage
from costing.chilling.chill import (
    COLD_START_C,
    COLDEST,
    CORE,
    OUTSIDE,
    WARM_UPS,
    Case,
    Excursion,
    core_heights,
    excursion,
    minutes_to,
    warm_up,
)
from costing.chilling.conduction import Run
from costing.chilling.crossings import warm_stage
from costing.chilling.profiles import (
    AMBIENT,
    COLD_C,
    COOKED,
    HOT_C,
    LUKEWARM_C,
    PROFILES,
    LegResult,
    results,
)

LIMITS: dict[str, float] = {"135F_57.22C": HOT_C, "70F_21.11C": LUKEWARM_C, "41F_5.00C": COLD_C}
"""Name to temperature [°C] of the limits times are given for."""

AT_MINUTES = (15, 30, 60, 90, 120, 180, 240, 300, 360, 480, 600, 720, 960)
"""When temperatures are given [min]."""

_AFTER_START = 30
Answer = dict[str, Any]


def at_minutes(stages: Sequence[Stage]) -> list[float]:
    """Choose when temperatures are given.

    With a stage out of the cold, the begin of every later stage and half an hour after it are added.

    Parameters
    ----------
    stages : sequence of Stage
        The stages.

    Returns
    -------
    list of float
        Times within the stages, in rising order [min]; the end when the stages are shorter than the first.
    """
    ends = [float(end) for end in np.cumsum([stage.minutes for stage in stages])]
    times = {float(time) for time in AT_MINUTES}
    if warm_stage(stages) is not None:
        times.update(end + later for end in ends[:-1] for later in (0, _AFTER_START))
    return sorted(time for time in times if time <= ends[-1]) or [ends[-1]]


def answer(case: Case, *, cooked: bool) -> Answer:
    """Work out a case.

    Parameters
    ----------
    case : Case
        What cools.
    cooked : bool
        Whether it was cooked, Food Code 3-501.14(A); else made from ingredients at room temperature, (B).

    Returns
    -------
    dict
        Properties, temperatures, times to limits, the core's height, the Food Code's verdict, times to warm up and,
        with a stage out of the cold, what that does. Temperatures [°C], times [min], heights [mm].
    """
    run = case.run()
    reached = minutes_to(run, list(LIMITS.values()))
    verdicts = {
        point: _legs(case, dict(zip(LIMITS.values(), times, strict=True)), cooked) for point, times in reached.items()
    }
    out = excursion(run)
    written: Answer = {
        "properties": _properties(case),
        **_temperatures(run),
        "minutes_to": {point: _named(times, LIMITS) for point, times in reached.items()},
        "core_height_mm_above_base_at": _heights(run, reached[CORE]),
        "food_code": {point: _food_code(legs, cooked) for point, legs in verdicts.items()},
        "warm_up": _warm_up(case),
    }
    if out is not None:
        written["excursion"] = _excursion(out)
    margins = [leg.margin for legs in verdicts.values() for leg in legs if leg.margin is not None]
    written["food_code_margin_min_fraction"] = round(min(margins), 4) if margins else None
    return written


def _properties(case: Case) -> Answer:
    food = case.food
    return {
        "k": round(food.k, 5),
        "rho": round(food.rho, 2),
        "cp": round(food.cp, 1),
        "alpha_m2_s": float(f"{food.alpha:.5g}"),
    }


def _temperatures(run: Run) -> Answer:
    times = at_minutes(run.stages)
    line, mean = run.read([places.axis(run.body), places.mean(run.body)], np.array(times))
    return {
        "at_minutes": [int(time) if time.is_integer() else time for time in times],
        "centre_c": _rounded(line[places.MIDDLE].tolist()),
        "core_c": _rounded(places.warmest(line)[0].tolist()),
        "mean_c": _rounded(mean[0].tolist()),
    }


def _heights(run: Run, times: Sequence[float | None]) -> Answer:
    known = [time for time in times if time is not None]
    heights = iter(core_heights(run, np.array(known)).tolist())
    return {name: None if time is None else round(next(heights), 2) for name, time in zip(LIMITS, times, strict=True)}


def _legs(case: Case, times: dict[float, float | None], cooked: bool) -> tuple[LegResult, ...]:
    return results(PROFILES[COOKED if cooked else AMBIENT], case.initial_c, times.__getitem__)


def _food_code(legs: Sequence[LegResult], cooked: bool) -> Answer:
    minutes = _rounded([leg.minutes for leg in legs])
    complies = all(leg.kept for leg in legs)
    if not cooked:
        return {"clause": "3-501.14(B)", "minutes_to_41": minutes[0], "complies": complies}
    return {
        "clause": "3-501.14(A)",
        "minutes_135_to_70": minutes[0],
        "minutes_135_to_41": minutes[1],
        "stage1_ok": legs[0].kept,
        "total_ok": legs[1].kept,
        "complies": complies,
    }


def _warm_up(case: Case) -> Answer:
    stages = list(WARM_UPS.values())
    found = warm_up(case.body, case.food, stages[0], [stage.ambient_c for stage in stages])
    return {
        name: {
            "stage": {
                "minutes": stage.minutes,
                "ambient_c": stage.ambient_c,
                "h_top": stage.h_top,
                "h_side": stage.h_side,
                "h_bottom": stage.h_bottom,
            },
            "start_c": COLD_START_C,
            "minutes_above_5C": _named(times, (*OUTSIDE, COLDEST)),
        }
        for (name, stage), times in zip(WARM_UPS.items(), found, strict=True)
    }


def _excursion(out: Excursion) -> Answer:
    return {
        "stage_index": out.stage,
        "starts_at_minute": out.starts,
        "minutes_after_start_above_5C": _named(out.above, OUTSIDE),
        "peak_c": _named(out.peak, OUTSIDE),
        "minutes_after_stage_end_until_5C": _named(out.cold_again, OUTSIDE),
    }


def _rounded(values: Sequence[float | None]) -> list[float | None]:
    return [None if value is None else round(value, 3) for value in values]


def _named(values: Sequence[float | None], names: Any) -> Answer:
    return dict(zip(names, _rounded(values), strict=True))
