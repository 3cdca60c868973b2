"""Plans: how long the last cold stage has to last, what freezes, and which time is longer."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import (
    LONGEST_MIN,
    PROFILES,
    Block,
    Case,
    Cylinder,
    Plan,
    Slab,
    Stage,
    core_times,
    food_of,
    freezes,
    freezes_as_stated,
    lengthened,
    report,
    ruling_clock,
)
from costing.chilling.bodies import Body
from costing.chilling.profiles import AMBIENT, COOKED
from costing.chilling.ranges import SLOW, at_point
from tests.chilling_words import likely_minutes, slow_minutes, stage_in

CAKE = food_of({"water": 50, "fat": 25, "protein": 6, "carb": 18, "ash": 1})
CUSTARD = food_of({"water": 70, "fat": 12, "protein": 6, "carb": 11, "ash": 1})
GEL = food_of({"water": 80, "fat": 3.5, "protein": 3.5, "carb": 12.3, "ash": 0.7})
ROUND = Cylinder(250, 75)
BENCH, COLD = stage_in("room", 60, 21), stage_in("still", 720, 3)
PLAN = Plan(ROUND, CAKE, 68.0, (BENCH, COLD), PROFILES[COOKED])

mm = st.floats(15, 250)
bodies = st.one_of(st.builds(Cylinder, mm, mm), st.builds(Slab, mm), st.builds(Block, mm, mm, mm))
starts = st.floats(30, 95)
airs_c = st.floats(0, 3.5)
examples = settings(max_examples=25, deadline=None)


def plan_of(body: Body, start: float, *stages: Stage) -> Plan:
    return Plan(body, CAKE, start, stages, PROFILES[COOKED])


def cold(plan: Plan) -> tuple[float, float, float]:
    """Return when it is cold: fast, likely and slow; infinity when it never is."""
    found = report(plan).cold
    fast, likely, slow = (float("inf") if time is None else time for time in (found.fast, found.likely, found.slow))
    return fast, likely, slow


@examples
@given(bodies, starts, airs_c, st.sampled_from(["still", "fan", "blast"]), st.floats(0, 120))
def test_the_slow_end_is_never_before_the_likely_nor_that_before_the_fast(
    body: Body, start: float, air_c: float, air: str, bench: float
) -> None:
    plan = plan_of(body, start, stage_in("room", max(bench, 1), 24), stage_in(air, 60, air_c))
    fast, likely, slow = cold(plan)
    assert fast <= likely <= slow
    assert slow_minutes(plan) == (None if slow == float("inf") else pytest.approx(slow))


@examples
@given(bodies, starts, airs_c, st.floats(1.05, 2))
def test_what_is_deeper_is_never_cold_sooner(body: Body, start: float, air_c: float, more: float) -> None:
    plan = plan_of(body, start, BENCH, stage_in("still", 60, air_c))
    deeper = replace(plan, body=replace(body, height_mm=body.height_mm * more))
    assert all(a <= b * (1 + 1e-4) for a, b in zip(cold(plan), cold(deeper), strict=True))


@examples
@given(bodies, starts, airs_c, st.sampled_from([("still", "fan"), ("fan", "blast")]))
def test_a_fan_is_never_slower_than_still_air_nor_a_blast_than_a_fan(
    body: Body, start: float, air_c: float, pair: tuple[str, str]
) -> None:
    less, more = (plan_of(body, start, BENCH, stage_in(air, 60, air_c)) for air in pair)
    assert all(a >= b * (1 - 1e-4) for a, b in zip(cold(less), cold(more), strict=True))


@examples
@given(bodies, starts, airs_c, st.sampled_from([{"covered": True}, {"base": "board"}, {"wall": "glass"}]))
def test_a_lid_a_board_or_a_thick_wall_never_makes_it_faster(
    body: Body, start: float, air_c: float, words: dict[str, str]
) -> None:
    plain = plan_of(body, start, stage_in("still", 60, air_c))
    worse = plan_of(body, start, stage_in("still", 60, air_c, **words))  # type: ignore[arg-type]  # one word each
    assert all(a <= b * (1 + 1e-4) for a, b in zip(cold(plain), cold(worse), strict=True))


@examples
@given(bodies, starts, st.floats(5, 900), st.floats(5, 900))
def test_how_long_the_last_stay_is_stated_does_not_count(body: Body, start: float, one: float, other: float) -> None:
    plans_of = [plan_of(body, start, BENCH, stage_in("still", minutes, 3)) for minutes in (one, other)]
    assert slow_minutes(plans_of[0]) == slow_minutes(plans_of[1])


def test_only_the_last_stage_is_stretched() -> None:
    blast = stage_in("blast", 40, 1)
    plan = replace(PLAN, stages=(BENCH, blast, COLD))
    case = lengthened(plan)
    assert case.stages == (BENCH, blast, replace(COLD, minutes=LONGEST_MIN))
    assert (case.body, case.food, case.initial_c) == (plan.body, plan.food, plan.initial_c)
    longer = replace(COLD, minutes=2 * LONGEST_MIN)
    assert lengthened(replace(plan, stages=(longer,))).stages == (longer,)


def test_time_on_the_bench_counts() -> None:
    """An hour of room air takes longer than no hour, but cools too: less than an hour longer."""
    straight = slow_minutes(replace(PLAN, stages=(COLD,)))
    benched = slow_minutes(PLAN)
    assert straight is not None
    assert benched is not None
    assert straight + 5 < benched < straight + 60


def test_a_week_in_the_cold_is_followed_as_closely_as_a_day() -> None:
    for body in (Slab(8), Cylinder(50, 40), ROUND):
        plan = replace(PLAN, body=body)
        by_day = Case(body, CAKE, 68.0, (BENCH, replace(COLD, minutes=1440.0)))
        (expected,) = core_times(at_point(by_day, SLOW).run(), [5.0]) if body is not ROUND else [slow_minutes(plan)]
        assert slow_minutes(plan) == pytest.approx(expected, rel=5e-4)


@pytest.mark.parametrize("air_c", [4.0, 5.0, 12.0])
def test_air_that_is_too_warm_never_gets_it_cold(air_c: float) -> None:
    """At the slow end the air is a degree warmer, so 4 °C are 5 °C."""
    assert slow_minutes(replace(PLAN, stages=(BENCH, stage_in("still", 720, air_c)))) is None


def test_a_rule_with_another_limit_waits_for_that() -> None:
    by_code = {code: slow_minutes(replace(PLAN, rule=PROFILES[code])) for code in (COOKED, "uk", "eu", "anz")}
    assert by_code["eu"] == by_code["anz"] == by_code[COOKED]
    assert (by_code["uk"] or 0) < 0.8 * (by_code[COOKED] or 0)
    assert slow_minutes(replace(PLAN, rule=PROFILES["ca"])) is None  # 4 °C in air of 3 °C, 4 °C at the slow end


def test_what_begins_cold_and_stays_cold_is_cold_at_once() -> None:
    begun = replace(PLAN, initial_c=4.0, stages=(COLD,))
    assert slow_minutes(begun) == 0
    warmed = slow_minutes(replace(begun, stages=(stage_in("room", 240, 24), COLD)))
    assert warmed is not None
    assert warmed > 240


def test_a_freezing_blast_before_it_is_cold_is_reported_with_how_long_it_may_last() -> None:
    blast = stage_in("blast", 120, -12)
    plan = replace(PLAN, stages=(BENCH, blast, COLD))
    found = freezes(plan)
    assert found is not None
    assert found.stage == 1
    assert 5 < found.minutes < 60
    assert freezes_as_stated(plan) == found
    shortened = replace(blast, minutes=found.minutes * 0.98)
    assert freezes(replace(plan, stages=(BENCH, shortened, COLD))) is None


def test_a_last_freezer_counts_until_the_core_is_cold_and_as_stated() -> None:
    """A thin layer is cold before the outside freezes; as stated, left for hours, the rim freezes all the same."""
    thin = Plan(Slab(6), CAKE, 12.0, (stage_in("still", 200, -3),), PROFILES[AMBIENT])
    assert freezes(thin) is None
    assert freezes_as_stated(thin) is not None
    short = replace(thin, stages=(stage_in("still", 5, -3),))
    assert freezes_as_stated(short) is None
    assert freezes(replace(thin, body=ROUND, stages=(stage_in("still", 5, -18),))) is not None


def test_a_freezer_after_it_is_cold_freezes_as_stated_only() -> None:
    plan = replace(PLAN, stages=(replace(COLD, minutes=1200.0), stage_in("still", 600, -18)))
    assert freezes(plan) is None
    found = freezes_as_stated(plan)
    assert found is not None
    assert found.stage == 1


def test_air_at_minus_two_or_warmer_freezes_nothing() -> None:
    plan = replace(PLAN, stages=(BENCH, stage_in("blast", 600, -2)))
    assert freezes(plan) is None
    assert freezes_as_stated(plan) is None


def test_the_longer_clock_rules() -> None:
    assert ruling_clock(240, 90) == ("stated", 240)
    assert ruling_clock(240, 240) == ("stated", 240)
    assert ruling_clock(240, 241) == ("cooling", 241)
    assert ruling_clock(240, None) == ("cooling", None)


def test_a_ten_inch_baked_custard_cake_needs_a_night_and_its_cooling_asks_for_more() -> None:
    """Common practice, no source: a baked custard cake of 10 in rests overnight, here eight hours after the bench.

    In still air of 3 °C its slow end is later than that night, so the recipe's own minimum is not enough.
    """
    cake = Plan(Cylinder(254, 76), CUSTARD, 68.0, (BENCH, replace(COLD, minutes=480.0)), PROFILES[COOKED])
    slow = slow_minutes(cake)
    clock, minutes = ruling_clock(cake.minutes, slow)
    assert (clock, minutes) == ("cooling", slow)
    assert (slow or 0) > 24 * 60
    assert (likely_minutes(cake) or 0) > 12 * 60  # not even the likely time fits into a night of twelve hours
    blast = replace(cake, stages=(stage_in("blast", 720, 1),))
    assert ruling_clock(blast.minutes, slow_minutes(blast)) == ("stated", 720)


def test_a_topping_set_with_gelatin_waits_for_its_setting_not_for_the_cold() -> None:
    """Common practice, no source: a topping set with gelatin takes several hours; 8 mm of it are cold long before."""
    topping = Plan(Slab(8), GEL, 35.0, (replace(COLD, minutes=240.0),), PROFILES[AMBIENT])
    assert ruling_clock(topping.minutes, slow_minutes(topping)) == ("stated", 240)
    assert (slow_minutes(topping) or 0) > 30


def test_a_cake_of_drained_cheese_rests_a_full_day_though_it_is_cold_before() -> None:
    """Common practice, no source: a cake of drained cheese stands a full day in the cold before it is cut."""
    cake = Plan(Cylinder(160, 60), CAKE, 22.0, (replace(COLD, minutes=1440.0),), PROFILES[AMBIENT])
    assert ruling_clock(cake.minutes, slow_minutes(cake)) == ("stated", 1440)
    assert (likely_minutes(cake) or 0) > 240
