"""The results of a case as the command `cooling` prints them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from costing.chilling import places
from costing.chilling.bodies import Stage
from costing.chilling.chill import (
    COLD_START_C,
    WARM_UPS,
    WARMED,
    Excursion,
    cooling_passes,
    excursion,
    excursion_passes,
    follow,
    minutes_of,
    warm_pass,
    warm_unit,
)
from costing.chilling.conduction import Case, Timeline
from costing.chilling.crossings import Pass, Passed, Track, warm_stage
from costing.chilling.food_codes import PROFILES
from costing.chilling.profiles import AMBIENT, COLD_C, COOKED, HOT_C, LUKEWARM_C, LegResult, results

LIMITS: dict[str, float] = {"135F_57.22C": HOT_C, "70F_21.11C": LUKEWARM_C, "41F_5.00C": COLD_C}
"""Name to temperature [°C] of the limits times are given for."""

POINTS: dict[str, int] = {"centre": places.CENTRE, "core": places.CORE}
"""Points that are judged: the geometric centre, and the core, which is the one that counts."""

OUTSIDE_NAMES = ("edge_top_rim", "point_10mm_in", "volume_mean", "geometric_centre", "coldest_axis_point")

AT_MINUTES = (15, 30, 60, 90, 120, 180, 240, 300, 360, 480, 600, 720, 960)
"""When temperatures are given [min]."""

_AFTER_START = 30
Answer = dict[str, Any]


def at_minutes(stages: Sequence[Stage]) -> list[float]:
    """Choose the times at which temperatures are reported.

    When a stage is out of the cold, the start of every later stage and half an hour after it are added.

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
    """Compute the results of a case.

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
        with a stage out of the cold, its effect. Temperatures [°C], times [min], heights [mm].
    """
    # One warming unit serves both air temperatures; it is solved and read together with the cooling, on one time axis.
    warm = warm_unit(case.body, case.food, next(iter(WARM_UPS.values())), case.top)
    timeline, limits, times = Timeline([case, warm]), list(LIMITS.values()), at_minutes(case.stages)
    track = follow(timeline, times)
    asked = [
        [one for row in POINTS.values() for one in cooling_passes(timeline, row, limits)],
        excursion_passes(timeline),
        _warm_passes(timeline.span_of(1)),
    ]
    passed = iter(track.passes([one for each in asked for one in each]))
    cooled, outside, warmed = ([next(passed) for _ in each] for each in asked)
    reached = {point: cooled[at * len(limits) :][: len(limits)] for at, point in enumerate(POINTS)}
    legs = {point: _legs(case, minutes_of(found), cooked) for point, found in reached.items()}
    out = excursion(timeline, track, outside)
    return {
        "properties": _properties(case),
        **_temperatures(track, times),
        "minutes_to": {point: _named(minutes_of(found), LIMITS) for point, found in reached.items()},
        "core_height_mm_above_base_at": _heights(case, reached["core"]),
        "food_code": {point: _food_code(found, cooked) for point, found in legs.items()},
        "warm_up": _warm_up(minutes_of(warmed), asked[2][0].since),
        **({} if out is None else {"excursion": _excursion(out)}),
        "food_code_margin_min_fraction": _margin([leg for found in legs.values() for leg in found]),
    }


def _properties(case: Case) -> Answer:
    food = case.food
    return {
        "k": round(food.k, 5),
        "rho": round(food.rho, 2),
        "cp": round(food.cp, 1),
        "alpha_m2_s": float(f"{food.alpha:.5g}"),
    }


def _temperatures(track: Track, times: Sequence[float]) -> Answer:
    found = track.at(times)
    return {
        "at_minutes": [int(time) if time.is_integer() else time for time in times],
        "centre_c": _rounded(found[places.CENTRE].tolist()),
        "core_c": _rounded(found[places.CORE].tolist()),
        "mean_c": _rounded(found[places.MEAN].tolist()),
    }


def _heights(case: Case, passed: Sequence[Passed | None]) -> Answer:
    height = case.body.height_mm
    heights = [None if one is None else round(float(one.values[places.HEIGHT]) * height, 2) for one in passed]
    return dict(zip(LIMITS, heights, strict=True))


def _legs(case: Case, minutes: Sequence[float | None], cooked: bool) -> tuple[LegResult, ...]:
    times = dict(zip(LIMITS.values(), minutes, strict=True))
    return results(PROFILES[COOKED if cooked else AMBIENT], case.hottest_c, times.__getitem__)


def _margin(legs: Sequence[LegResult]) -> float | None:
    margins = [leg.margin for leg in legs if leg.margin is not None]
    return round(min(margins), 4) if margins else None


def _food_code(legs: Sequence[LegResult], cooked: bool) -> Answer:
    minutes = _rounded([leg.minutes for leg in legs])
    complies = all(leg.met for leg in legs)
    if not cooked:
        return {"clause": "3-501.14(B)", "minutes_to_41": minutes[0], "complies": complies}
    return {
        "clause": "3-501.14(A)",
        "minutes_135_to_70": minutes[0],
        "minutes_135_to_41": minutes[1],
        "stage1_ok": legs[0].met,
        "total_ok": legs[1].met,
        "complies": complies,
    }


def _warm_passes(span: tuple[float, float]) -> list[Pass]:
    return [
        warm_pass(row, COLD_C, stage.ambient_c, COLD_START_C, span) for stage in WARM_UPS.values() for row in WARMED
    ]


def _warm_up(minutes: Sequence[float | None], since: float) -> Answer:
    times = [None if minute is None else minute - since for minute in minutes]
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
            "minutes_above_5C": _named(times[at * len(WARMED) :][: len(WARMED)], OUTSIDE_NAMES),
        }
        for at, (name, stage) in enumerate(WARM_UPS.items())
    }


def _excursion(out: Excursion) -> Answer:
    return {
        "stage_index": out.stage,
        "starts_at_minute": out.starts,
        "minutes_after_start_above_5C": _named(out.above, OUTSIDE_NAMES[:-1]),
        "peak_c": _named(out.peak, OUTSIDE_NAMES[:-1]),
        "minutes_after_stage_end_until_5C": _named(out.cold_again, OUTSIDE_NAMES[:-1]),
    }


def _rounded(values: Sequence[float | None]) -> list[float | None]:
    return [None if value is None else round(value, 3) for value in values]


def _named(values: Sequence[float | None], names: Any) -> Answer:
    return dict(zip(names, _rounded(values), strict=True))
