"""Out of the cold: how long food stays cold, and how long it may be out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import (
    PROFILES,
    Block,
    Cylinder,
    Profile,
    Slab,
    TimeOutClause,
    away_stage,
    food_of,
    stated_time_out,
    time_out_limit,
    warm_up,
    warming_times,
)
from costing.chilling.bodies import Body
from costing.chilling.profiles import AMBIENT, COOKED, LUKEWARM_C

CAKE = food_of({"water": 50, "fat": 25, "protein": 6, "carb": 18, "ash": 1})
ROUND = Cylinder(250, 75)

mm = st.floats(25, 250)
bodies = st.one_of(st.builds(Cylinder, mm, mm), st.builds(Slab, mm), st.builds(Block, mm, mm, mm))
carried = st.sampled_from(["bare", "carton", "insulated"])


def endless(minutes: float | None) -> float:
    return float("inf") if minutes is None else minutes


def test_five_degrees_are_those_of_warming_up() -> None:
    """The same model that answers a case, asked for another limit and box."""
    (cold, lukewarm) = warming_times(ROUND, CAKE, "carton", 30)
    (rim, deep, mean, *_) = warm_up(ROUND, CAKE, away_stage("carton", 1440, 30), [30])[0]
    assert (cold.rim.likely, cold.deep.likely, cold.mean.likely) == pytest.approx((rim, deep, mean), rel=1e-4)
    assert (cold.limit_c, lukewarm.limit_c) == (5.0, LUKEWARM_C)
    assert endless(lukewarm.deep.fast) > endless(cold.deep.slow)


@settings(max_examples=20, deadline=None)
@given(bodies, carried, st.floats(12, 40), st.floats(0, 4))
def test_a_plan_goes_by_the_fast_end_and_the_rim_is_warm_first(
    body: Body, how: str, air_c: float, start_c: float
) -> None:
    for found in warming_times(body, CAKE, how, air_c, start_c):
        for place in (found.rim, found.deep, found.mean):
            assert endless(place.fast) <= endless(place.likely) * (1 + 1e-3)
        assert endless(found.mean.likely) <= endless(found.mean.slow) * (1 + 1e-3)
        assert endless(found.rim.fast) <= endless(found.mean.fast) * (1 + 1e-3)
        assert endless(found.rim.likely) <= endless(found.deep.likely) * (1 + 1e-3)


@settings(max_examples=20, deadline=None)
@given(bodies, st.floats(12, 40))
def test_a_box_keeps_the_cold_longer_than_a_carton_and_that_longer_than_none(body: Body, air_c: float) -> None:
    times = [warming_times(body, CAKE, how, air_c, limits=[5.0])[0] for how in ("bare", "carton", "insulated")]
    for place in ("deep", "mean", "rim"):
        likely = [endless(getattr(each, place).likely) for each in times]
        assert likely == sorted(likely)


def test_what_is_already_warmer_is_out_of_time_and_cold_air_warms_nothing() -> None:
    (found,) = warming_times(ROUND, CAKE, "bare", 25, 6.0, [5.0])
    assert endless(found.deep.slow) < 5
    assert endless(found.rim.slow) < 0.1
    (cool,) = warming_times(ROUND, CAKE, "bare", 3.5, limits=[5.0])
    assert (cool.rim.likely, cool.rim.fast, cool.mean.slow) == (None, None, None)


def test_the_food_codes_four_hours_count_and_its_six_are_reported_where_nothing_gets_that_warm() -> None:
    rule = PROFILES[COOKED]
    bare = time_out_limit(rule, Cylinder(60, 40), CAKE, "bare", 25)
    assert bare is not None
    assert (bare.minutes, bare.clause, bare.longer) == (240, rule.times_out[0], ())
    boxed = time_out_limit(rule, ROUND, CAKE, "insulated", 22)
    assert boxed is not None
    assert boxed.minutes == 240
    assert boxed.longer == (rule.times_out[1],)
    (warm,) = warming_times(ROUND, CAKE, "insulated", 22, limits=[LUKEWARM_C])
    assert endless(warm.rim.fast) >= 360


def test_without_a_stated_time_it_has_to_stay_cold_ten_millimetres_in() -> None:
    for code, limit in (("eu", 5.0), ("ca", 4.0)):
        found = time_out_limit(PROFILES[code], ROUND, CAKE, "carton", 25)
        (cold,) = warming_times(ROUND, CAKE, "carton", 25, limits=[limit])
        assert found is not None
        assert found.clause is None
        assert found.minutes == pytest.approx(cold.deep.fast)


def test_northern_ireland_allows_less_than_four_hours() -> None:
    """NISR 2006/3 Schedule 4 paragraph 5."""
    found = time_out_limit(PROFILES["uk-ni"], ROUND, CAKE, "bare", 25)
    assert found is not None
    assert (found.minutes, found.under, found.longest_minutes) == (240, True, 239)


def test_scotland_england_and_new_zealand_state_no_time_that_was_read() -> None:
    for code in ("uk-sc", "uk-en", "nz"):
        found = time_out_limit(PROFILES[code], ROUND, CAKE, "carton", 25)
        assert found is not None
        assert found.clause is None


def test_a_limit_of_the_house_sets_the_time_where_the_rule_states_none() -> None:
    found = time_out_limit(PROFILES["eu"].with_house_limit(120, "our plan"), ROUND, CAKE, "bare", 25)
    assert found is not None
    assert found.clause is not None
    assert (found.minutes, found.clause.kind, found.longest_minutes) == (120, "house", 120)


def test_cold_air_sets_no_limit_and_cool_air_no_more_than_a_day() -> None:
    for code, air_c in (("eu", 5.0), ("uk", 8.0), (COOKED, 4.0)):
        assert time_out_limit(PROFILES[code], ROUND, CAKE, "bare", air_c) is None
    day = time_out_limit(PROFILES["eu"], Cylinder(300, 200), CAKE, "insulated", 5.2)
    assert day is not None
    assert day.minutes <= 1440


ONLY_COOL = replace(PROFILES["eu"], times_out=(TimeOutClause(90, 12.0, "made up"),))


def test_a_time_that_asks_for_a_temperature_counts_only_where_that_is_kept() -> None:
    limit = time_out_limit(ONLY_COOL, ROUND, CAKE, "insulated", 12)
    assert limit is not None
    assert (limit.minutes, limit.clause) == (90, ONLY_COOL.times_out[0])
    broken = time_out_limit(ONLY_COOL, ROUND, CAKE, "bare", 30)
    assert broken is not None
    assert broken.clause is None
    assert broken.minutes < 15


@settings(max_examples=30, deadline=None)
@given(bodies, carried, st.floats(9, 40), st.sampled_from([*PROFILES.values(), ONLY_COOL]))
def test_nothing_may_be_out_longer_than_the_rule_says(body: Body, how: str, air_c: float, rule: Profile) -> None:
    found = time_out_limit(rule, body, CAKE, how, air_c)
    assert found is not None
    assert 0 <= found.minutes <= min([1440.0, *(out.minutes for out in rule.times_out)])
    assert (found.clause is None) == (not rule.times_out or found.clause not in rule.times_out)


def test_what_leaves_the_cold_warmer_has_less_time() -> None:
    times = [time_out_limit(PROFILES["eu"], ROUND, CAKE, "carton", 25, start) for start in (1.0, 3.0, 4.5)]
    minutes = [found.minutes for found in times if found is not None]
    assert minutes == sorted(minutes, reverse=True)
    assert len(set(minutes)) == 3


def test_what_is_not_warm_within_a_day_has_no_time_even_beside_points_that_are() -> None:
    """All points stand on one axis of time; none may end in another's stretch."""
    (found,) = warming_times(Cylinder(102, 97), CAKE, "insulated", 25, 0.0, [LUKEWARM_C])
    assert found.mean.fast is not None
    assert found.mean.slow is None
    assert all(time is None or time <= 1440 for time in found.mean.points)


def test_what_leaves_the_cold_as_warm_as_it_may_be_has_no_time_at_all() -> None:
    """UK cook-chill guidance: 3 °C, which is where food leaves the cold unless it is said to be colder."""
    rule = PROFILES["uk-cook-chill"]
    found, colder = (
        time_out_limit(rule, ROUND, CAKE, "carton", 25),
        time_out_limit(rule, ROUND, CAKE, "carton", 25, 1.0),
    )
    assert found is not None
    assert colder is not None
    assert found.minutes < 1
    assert colder.minutes > 5


@pytest.mark.parametrize("code", [COOKED, AMBIENT, "au", "uk-wa", "uk-ni", "anz", "uk"])
def test_four_hours_where_the_rule_states_them(code: str) -> None:
    found = time_out_limit(PROFILES[code], ROUND, CAKE, "carton", 25)
    assert found is not None
    assert found.clause is not None
    assert found.minutes == 240


def test_food_without_figures_has_the_shortest_time_that_is_stated_whatever_the_temperature() -> None:
    found = stated_time_out(PROFILES["us-cooked"], 25)
    assert found is not None
    assert (found.allowed_minutes, found.under) == (240, False)
    house = stated_time_out(PROFILES["us-cooked"].with_house_limit(120, "our plan"), 25)
    assert house is not None
    assert house.clause is not None
    assert (house.allowed_minutes, house.clause.kind) == (120, "house")
    assert stated_time_out(PROFILES["eu"], 25) is None
    assert stated_time_out(PROFILES["us-cooked"], 4) is None
    assert stated_time_out(ONLY_COOL, 30) is None
