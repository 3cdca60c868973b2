"""Reports of how a plan cools."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from costing.chilling import (
    PROFILES,
    Block,
    Cylinder,
    Plan,
    Slab,
    cooling_range,
    food_of,
    freezes,
    lengthened,
    report,
    results,
    verdict_of,
)
from costing.chilling.bodies import Body
from costing.chilling.places import CORE, MEAN, temperatures
from costing.chilling.profiles import AMBIENT, COOKED, HOT_C, LUKEWARM_C
from costing.chilling.ranges import SLOW, at_point
from tests.chilling_words import slow_minutes, stage_in

CAKE = food_of({"water": 50, "fat": 25, "protein": 6, "carb": 18, "ash": 1})
BENCH, COLD = stage_in("room", 60, 21), stage_in("still", 720, 3)
PLAN = Plan(Cylinder(250, 75), CAKE, 68.0, (BENCH, COLD), PROFILES[COOKED])
FAN_TRAY = Plan(Slab(20), CAKE, 68.0, (stage_in("fan", 240, 3),), PROFILES[COOKED])

mm = st.floats(15, 250)
bodies = st.one_of(st.builds(Cylinder, mm, mm), st.builds(Slab, mm), st.builds(Block, mm, mm, mm))


def test_times_are_those_of_the_range() -> None:
    found = report(PLAN)
    assert [one.limit_c for one in found.reached] == [HOT_C, LUKEWARM_C, 5.0]
    expected = cooling_range(lengthened(PLAN), [HOT_C, LUKEWARM_C, 5.0])
    for one, other in zip(found.reached, expected, strict=True):
        assert one.range.points == pytest.approx(other.points)
    assert found.cold.slow == pytest.approx(slow_minutes(PLAN))


@settings(max_examples=20, deadline=None)
@given(bodies, st.floats(10, 95), st.floats(0, 3.9), st.sampled_from(list(PROFILES)))
@example(Cylinder(15.0, 189.0), 29.0, 0.0, COOKED)
@example(Cylinder(15.0, 189.0), 36.0, 0.0, COOKED)
@example(Cylinder(15.0, 189.0), 95.0, 0.0, COOKED)
def test_a_report_never_contradicts_itself(body: Body, start: float, air_c: float, code: str) -> None:
    plan = Plan(body, CAKE, start, (BENCH, stage_in("still", 300, air_c)), PROFILES[code])
    found = report(plan)
    for one in found.reached:
        times = (one.range.fast, one.range.likely, one.range.slow)
        known = [time for time in times if time is not None]
        assert known == sorted(known)
        assert times[: len(known)] == tuple(known)  # what never comes is the slow end's first
    met = all(leg.likely.met for leg in found.legs), all(leg.slow.met for leg in found.legs)
    words = {(True, True): "kept", (True, False): "likely", (False, False): "not kept"}
    assert found.verdict == (words[met] if plan.rule.legs else "untimed")
    curve = found.curve
    for row in (curve.likely, curve.fast, curve.slow, curve.mean, curve.air):
        assert len(row) == len(curve.minutes)
    # What begins colder than the room is warmed by it, soonest at the fast end. In the first minute of a thin body the
    # curve is good to a hundredth of what it is warmer than the room only.
    good = max(0.1, 0.01 * (start - 21))
    for fast, likely, slow in zip(curve.fast, curve.likely, curve.slow, strict=True) if start > 22 else ():
        assert fast - good <= likely <= slow + good


def test_the_legs_are_judged_from_where_their_clock_starts_at_all_three_points() -> None:
    first, total = report(PLAN).legs
    hot, lukewarm, cold = (one.range for one in report(PLAN).reached)
    assert first.likely.minutes == pytest.approx((lukewarm.likely or 0) - (hot.likely or 0))
    assert total.slow.minutes == pytest.approx((cold.slow or 0) - (hot.slow or 0))
    assert total.fast.minutes == pytest.approx((cold.fast or 0) - (hot.fast or 0))
    assert not first.likely.met
    assert first.leg == PROFILES[COOKED].legs[0]


def test_a_rule_of_other_temperatures_is_judged_by_those() -> None:
    plan = replace(PLAN, rule=PROFILES["anz"])
    case = lengthened(plan)
    (hot, lukewarm, cold) = cooling_range(case, [60.0, 21.0, 5.0])
    expected = results(plan.rule, 68.0, {60.0: hot.slow, 21.0: lukewarm.slow, 5.0: cold.slow}.__getitem__)
    assert [leg.slow.minutes for leg in report(plan).legs] == pytest.approx([each.minutes for each in expected])


def test_the_verdict_in_a_word() -> None:
    assert report(FAN_TRAY).verdict == "kept"
    assert report(replace(FAN_TRAY, body=Slab(42))).verdict == "likely"
    assert report(PLAN).verdict == "not kept"
    assert report(replace(PLAN, rule=PROFILES["eu"])).verdict == "untimed"
    frozen = replace(PLAN, stages=(BENCH, stage_in("blast", 300, -15)))
    assert report(frozen).verdict == "freezes"
    assert report(frozen).freezes == freezes(frozen)
    assert verdict_of((), None) == "untimed"


def test_what_freezes_only_as_stated_is_reported_beside_the_verdict() -> None:
    plan = replace(FAN_TRAY, stages=(*FAN_TRAY.stages, stage_in("still", 600, -18)))
    found = report(plan)
    assert found.verdict == "kept"
    assert found.freezes is None
    assert found.freezes_as_stated is not None


def test_food_from_ingredients_at_room_temperature_begins_below_the_hot_limits() -> None:
    plan = Plan(Cylinder(60, 50), CAKE, 22.0, (stage_in("fan", 240, 3),), PROFILES[AMBIENT])
    found = report(plan)
    assert found.reached[0].range.slow == 0
    assert (found.reached[1].range.likely or 0) > 0
    assert found.verdict == "kept"


def test_the_curve_runs_from_the_start_until_it_is_cold_at_the_slow_end() -> None:
    curve = report(PLAN).curve
    slow = slow_minutes(PLAN) or 0.0
    assert 50 <= len(curve.minutes) <= 64
    assert list(curve.minutes) == sorted(set(curve.minutes))
    assert curve.minutes[0] == 0
    assert curve.likely[0] == curve.fast[0] == curve.slow[0] == pytest.approx(68)
    assert curve.minutes[-1] == pytest.approx(1.05 * slow)
    assert curve.slow[-1] < 5 < curve.slow[-8]
    at_bench = curve.minutes.index(60.0)
    assert (curve.air[at_bench], curve.air[at_bench + 1]) == (21, 3)


def test_the_curve_is_what_the_model_says() -> None:
    curve = report(PLAN).curve
    minutes = np.array(curve.minutes)
    likely = temperatures(lengthened(PLAN).run(), minutes)
    assert np.allclose(likely[CORE], curve.likely, atol=1e-6)
    assert np.allclose(likely[MEAN], curve.mean, atol=1e-6)
    assert np.allclose(temperatures(at_point(lengthened(PLAN), SLOW).run(), minutes)[CORE], curve.slow, atol=1e-6)


def test_the_curve_shows_all_stated_minutes_and_ends_there_when_it_never_gets_cold() -> None:
    long = report(replace(FAN_TRAY, stages=(stage_in("fan", 1440, 3),))).curve
    assert long.minutes[-1] == 1440
    never = report(replace(PLAN, stages=(BENCH, stage_in("still", 720, 8))))
    assert never.cold.likely is None
    assert never.verdict == "not kept"
    assert never.curve.minutes[-1] == 780


@pytest.mark.parametrize(("bench", "cold_minutes"), [(170.1309, 16126.368), (156.04, 16160.74), (60.0, 20160.0)])
def test_a_stay_of_weeks_is_drawn_to_its_last_minute(bench: float, cold_minutes: float) -> None:
    """Minutes that do not add up exactly must not lead beyond the last stage."""
    plan = replace(PLAN, stages=(replace(BENCH, minutes=bench), replace(COLD, minutes=cold_minutes)))
    curve = report(plan).curve
    assert curve.minutes[-1] == pytest.approx(bench + cold_minutes)
    assert curve.slow[-1] == pytest.approx(4.0, abs=0.01)


def test_five_degrees_are_reported_beside_a_rule_that_is_cold_elsewhere() -> None:
    for code, limits in (("uk", [8, 5]), ("ca", [5, 4]), ("eu", [5])):
        stages = (BENCH, stage_in("still", 720, 2))
        plan = Plan(Cylinder(230, 30), food_of({"water": 75, "fat": 5, "carb": 20}), 74, stages, PROFILES[code])
        found = report(plan)
        assert [round(one.limit_c, 2) for one in found.reached] == [57.22, 21.11, *limits]
        assert found.cold == next(one.range for one in found.reached if one.limit_c == plan.cold_c)
