"""Two layers in plans: remedies, time out of the cold, and what their sides are taken for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.chilling import (
    PROFILES,
    Case,
    Cylinder,
    Food,
    Layer,
    Part,
    Plan,
    Run,
    Slab,
    Stage,
    core_times,
    depth,
    diameter,
    food_of,
    mixed_start,
    report,
    time_out_limit,
    trial,
    trials,
    warming_times,
    with_air,
)
from costing.chilling.layers import quicker, slower
from costing.chilling.places import CORE, MEAN, temperatures
from costing.chilling.profiles import AMBIENT, COOKED
from costing.chilling.ranges import times_to
from tests.chilling_words import stage_in

CAKE = food_of({"water": 50, "fat": 25, "protein": 6, "carb": 18, "ash": 1})
CURD = food_of({"water": 45, "fat": 20, "protein": 4, "carb": 30, "ash": 1})
CREAM = food_of({"water": 60, "fat": 36, "protein": 2, "carb": 2}, 0.4)
PLAN = Plan(Cylinder(200, 65), CAKE, 4.0, (stage_in("fan", 600, 3),), PROFILES[COOKED], top=Layer(CURD, 20, 65.0))


def test_a_report_and_a_trial_judge_both_layers_alike() -> None:
    found, tried = report(PLAN), trial(PLAN)
    assert found.layers == tried.layers
    assert [one.name for one in found.layers] == ["lower", "upper"]
    assert found.verdict == tried.verdict
    assert report(replace(PLAN, top=None)).layers == ()


def test_the_hottest_point_is_that_of_the_layer_that_takes_longer() -> None:
    found = report(PLAN)
    for end in ("fast", "likely", "slow"):
        slowest = max(getattr(one.above_cold, end) for one in found.layers)
        assert getattr(found.cold, end) == pytest.approx(slowest, rel=1e-3)


def test_a_layer_that_stays_cold_is_never_above_cold() -> None:
    plan = replace(PLAN, initial_c=4.0, top=Layer(CREAM, 20, 4.5))
    for one in report(plan).layers:
        assert (one.above_cold.likely, one.warmest_c <= 5) == (0.0, True)
        assert all(leg.slow.met for leg in one.legs)


def test_the_clock_of_a_cold_layer_starts_at_minute_0() -> None:
    lower, _ = report(replace(PLAN, top=Layer(CURD, 20, 95.0), initial_c=30.0)).layers
    assert lower.warmest_c > 57.3
    assert lower.legs[-1].likely.minutes == pytest.approx(lower.above_cold.likely)


def test_a_smaller_depth_keeps_the_proportion_of_the_layers() -> None:
    plan = replace(PLAN, body=Slab(65))
    found = depth(plan)
    assert found.likely_mm is not None
    assert 20 < found.likely_mm < 65
    share = found.likely_mm / 65
    assert plan.top is not None
    smaller = replace(plan, body=Slab(found.likely_mm), top=replace(plan.top, height_mm=20 * share))
    assert trial(smaller).verdict == "likely"
    assert trial(replace(smaller, body=Slab(found.likely_mm + 3))).verdict == "not kept"
    narrow = diameter(PLAN)
    assert narrow is not None
    assert (narrow.likely_mm or 0) > 0


def test_layered_and_plain_plans_are_tried_together_and_other_air_keeps_the_layer() -> None:
    other = replace(PLAN, body=Cylinder(200, 60))
    together = trials([PLAN, replace(PLAN, top=None), other])
    assert [one.cold_likely for one in together] == [trial(each.plan).cold_likely for each in together]
    assert with_air(PLAN, "blast").plan.top == PLAN.top
    assert times_to([PLAN.case, other.case], [5.0])[0] == times_to([PLAN.case], [5.0])[0]


def test_out_of_the_cold_two_layers_warm_like_the_quicker_of_them_at_the_sides() -> None:
    rule = replace(PROFILES[AMBIENT], times_out=())
    plain = {food: warming_times(PLAN.body, food, "bare", 25)[0].deep.likely or 0 for food in (CAKE, CREAM)}
    both = warming_times(PLAN.body, CAKE, "bare", 25, top=Layer(CREAM, 20, 99.0))[0].deep.likely or 0
    assert min(plain.values()) * 0.9 < both < max(plain.values())
    limit = time_out_limit(rule, PLAN.body, CAKE, "bare", 25, top=Layer(CREAM, 20, 99.0))
    assert limit is not None
    assert limit.minutes < both


def test_the_sides_are_the_slower_food_and_in_the_warm_the_quicker() -> None:
    one, other = Food(0.5, 1000, 4000), Food(0.2, 500, 2500)
    slow, quick = slower(one, other), quicker(one, other)
    assert (slow.alpha, slow.k) == (pytest.approx(1.25e-7), 0.5)
    assert (quick.alpha, quick.k) == (pytest.approx(1.6e-7), 0.2)


def test_a_mixture_starts_at_the_mean_by_heat_capacity() -> None:
    parts = [Part(2, Food(0.5, 1000, 4000), 80.0), Part(1, Food(0.2, 900, 2000), 5.0)]
    assert mixed_start(parts) == pytest.approx((2 * 4000 * 80 + 2000 * 5) / 10000)


@given(st.floats(5, 60), st.floats(5, 60), st.floats(0, 90), st.floats(0, 90))
def test_with_no_films_at_all_two_layers_end_at_the_temperature_of_their_mixture(
    lower_mm: float, upper_mm: float, lower_c: float, upper_c: float
) -> None:
    stage = Stage(20000, 3.0, 0.0, 0.0, 0.0)
    case = Case(Slab(lower_mm + upper_mm), CAKE, lower_c, (stage,), Layer(CREAM, upper_mm, upper_c))
    masses = lower_mm * CAKE.rho, upper_mm * CREAM.rho
    expected = mixed_start([Part(masses[0], CAKE, lower_c), Part(masses[1], CREAM, upper_c)])
    ends = temperatures(case.run(), np.array([20000.0]))[:, 0]
    assert (ends[CORE], ends[MEAN]) == (pytest.approx(expected, abs=0.01), pytest.approx(expected, abs=0.01))


@given(st.floats(1, 30), st.floats(1, 30), st.sampled_from([8.0, 57.0, 200.0]))
def test_stirring_more_often_cools_faster(one: float, other: float, film: float) -> None:
    def minutes(every: float) -> float:
        stage = Stage(20000, 0.5, 0.0, film, film, stirred_every_min=every)
        return core_times(Run(Cylinder(240, 140), CURD, 80.0, [stage]), [5.0])[0] or 0

    assert (minutes(one) <= minutes(other)) == (one <= other) or one == pytest.approx(other)


def test_after_stirring_it_stands_and_has_one_temperature_at_first() -> None:
    stages = (Stage(60, 0.5, 0.0, 190.0, 190.0, stirred_every_min=10), Stage(600, 3.0, 8.0, 8.0, 5.0))
    run = Run(Cylinder(240, 140), CURD, 80.0, stages)
    stirred, standing = (temperatures(run, np.array([minute]))[:, 0] for minute in (60.0, 120.0))
    assert stirred[CORE] - stirred[MEAN] < 0.05
    assert standing[CORE] - standing[MEAN] > 0.3
