"""Times to limits, time out of the cold, freezing, and ranges."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import (
    Block,
    Case,
    Cylinder,
    Run,
    Stage,
    answer,
    cooling_range,
    core_times,
    food_of,
    freezing,
    warm_up,
    warming_range,
)
from costing.chilling.answers import at_minutes
from costing.chilling.chill import FREEZES_C, WARM_UPS, core_times_of, follow
from costing.chilling.composition import MOST_AIR, component, mass_fractions
from costing.chilling.crossings import Pass, Track, warm_stage
from costing.chilling.lobatto import Floats
from costing.chilling.places import CORE, RIM, core, rims, temperatures
from costing.chilling.profiles import COLD_C
from costing.chilling.ranges import POINTS, Point, at_point

CAKE = food_of({"water": 50, "fat": 25, "protein": 6, "carb": 18, "ash": 1})
COLD = Stage(1800, 3, 8, 8, 5)
BENCH = Stage(60, 21, 10, 10, 5)
CAR = Stage(90, 30, 9, 9, 5)
ROUND = Cylinder(250, 75)


def track(*functions: Callable[[float], float]) -> Track:
    return Track(
        lambda times: np.array([[each(time) for time in times.tolist()] for each in functions]),
        np.linspace(0.0, 100.0, 41),
    )


def test_a_fall_is_found_to_a_thousandth_of_a_minute() -> None:
    found = track(lambda t: 60 * math.exp(-t / 30), lambda t: 5 + t).passes(
        [Pass(0, 57.0), Pass(0, 5.0), Pass(1, 40.0, falling=False), Pass(0, 1.0), Pass(1, 40.0), Pass(0, 61.0)]
    )
    minutes = [None if one is None else one.minute for one in found]
    assert minutes[:3] == pytest.approx([30 * math.log(60 / 57), 30 * math.log(12), 35.0], abs=1e-3)
    assert minutes[3:] == [None, None, None]


def test_the_other_rows_are_given_at_the_moment_of_the_pass() -> None:
    (found,) = track(lambda t: 60 - t, lambda t: t * t).passes([Pass(0, 20.3)])
    assert found is not None
    assert found.values.tolist() == pytest.approx([20.3, 39.7**2], rel=1e-4)


def test_a_bracket_is_read_to_its_end_and_no_further() -> None:
    """Begin and length of a bracket may add up to more than its end."""
    read: list[float] = []
    left, right = 3.234, 19.331
    assert left + (right - left) > right

    def falling(times: Floats) -> Floats:
        read.extend(times.tolist())
        return 15.0 - times[None, :]

    (found,) = Track(falling, np.array([0.0, left, right])).passes([Pass(0, 0.0)])
    assert found is not None
    assert found.minute == pytest.approx(15.0)
    assert max(read) == right


def test_a_pass_counts_only_within_its_time_and_only_the_first() -> None:
    wave = track(lambda t: 10 * math.cos(2 * math.pi * t / 50))
    first, later, never = wave.passes([Pass(0, 0.0), Pass(0, 0.0, since=25.0), Pass(0, 0.0, since=15.0, until=45.0)])
    assert first is not None
    assert later is not None
    assert (first.minute, later.minute) == pytest.approx((12.5, 62.5), abs=0.01)
    assert never is None


def test_a_row_that_begins_at_the_limit_passes_at_once() -> None:
    (found,) = track(lambda t: 57.0 - t).passes([Pass(0, 57.0)])
    assert found is not None
    assert found.minute == pytest.approx(0)


@settings(max_examples=25, deadline=None)
@given(st.floats(20, 300), st.floats(15, 150), st.floats(58, 95), st.floats(0.5, 40))
def test_the_core_is_at_the_limit_when_it_is_said_to_be(wide: float, high: float, start: float, h: float) -> None:
    run = Run(Cylinder(wide, high), CAKE, start, [BENCH, Stage(3000, 3, h, h, h / 2)])
    for limit, minute in zip((57.0, 21.0, 5.0), core_times(run, [57.0, 21.0, 5.0]), strict=True):
        if minute is not None:
            assert temperatures(run, np.array([minute]))[CORE, 0] == pytest.approx(limit, abs=0.01)
        else:
            assert temperatures(run, np.array([run.minutes]))[CORE, 0] > limit


def test_a_warm_stage_is_warm_air_after_cold_air() -> None:
    assert warm_stage([BENCH, COLD]) is None
    assert warm_stage([BENCH, COLD, CAR, COLD]) == 2
    assert warm_stage([Stage(1, 14.9, 8, 8, 8), Stage(1, 15.0, 8, 8, 8)]) == 1
    assert warm_stage([CAR, BENCH]) is None


def test_times_are_searched_until_food_comes_out_of_the_cold() -> None:
    """In this chain the core is still at 6 °C when the van comes, and at 5 °C only in the cold after it."""
    short = Stage(700, 3, 8, 8, 5)
    assert core_times(Run(ROUND, CAKE, 68.0, [BENCH, short, CAR, COLD]), [5.0]) == [None]


def test_food_that_is_already_warm_when_it_leaves_is_above_at_once() -> None:
    out = answer(Case(ROUND, CAKE, 68.0, (BENCH, Stage(120, 3, 8, 8, 5), CAR)), cooked=True)["excursion"]
    assert set(out["minutes_after_start_above_5C"].values()) == {0.0}
    assert set(out["minutes_after_stage_end_until_5C"].values()) == {None}
    assert out["peak_c"]["geometric_centre"] > 40


def test_temperatures_are_given_at_the_same_times_and_around_every_change_of_a_chain() -> None:
    assert at_minutes([Stage(900, 3, 8, 8, 8)])[-1] == 720
    assert at_minutes([Stage(10, 3, 8, 8, 8)]) == [10]
    chain = at_minutes([BENCH, Stage(180, 1, 30, 30, 15), Stage(600, 3, 8, 8, 5), CAR, Stage(720, 3, 8, 8, 5)])
    assert {60, 90, 240, 270, 840, 870, 930, 960} <= set(chain)
    assert chain == sorted(set(chain))


def test_every_asked_minute_stands_on_the_grid() -> None:
    run = Run(ROUND, CAKE, 68.0, [BENCH, COLD])
    minutes = [15.0, 17.3, 600.0]
    assert np.allclose(follow(run, minutes).at(minutes), temperatures(run, np.array(minutes)), rtol=0, atol=1e-9)


def test_the_core_alone_is_the_core_among_the_rest() -> None:
    run = Run(ROUND, CAKE, 68.0, [BENCH, COLD])
    minutes = np.linspace(0.0, 1860.0, 50)
    assert np.allclose(core(run, minutes)[0], temperatures(run, minutes)[CORE], rtol=0, atol=1e-9)


def test_several_airs_at_once_equal_each_by_itself() -> None:
    stage = WARM_UPS["room_25C"]
    both = warm_up(ROUND, CAKE, stage, [25, 30])
    for air, together in zip((25, 30), both, strict=True):
        assert together == pytest.approx(warm_up(ROUND, CAKE, stage, [air])[0], rel=1e-9)
    run = Run(ROUND, CAKE, 3.0, [Stage(720, 25, 9, 9, 5)])
    assert temperatures(run, np.array([both[0][0]]))[RIM, 0] == pytest.approx(5.0, abs=0.01)


def test_food_that_is_colder_stays_cold_longer_and_air_below_five_warms_nothing() -> None:
    stage = WARM_UPS["room_25C"]
    colder, usual = warm_up(ROUND, CAKE, stage, [25], 1.0)[0], warm_up(ROUND, CAKE, stage, [25])[0]
    assert all((one or 0) > (other or 0) for one, other in zip(colder, usual, strict=True))
    assert warm_up(ROUND, CAKE, stage, [4.9]) == [[None] * 5]


def test_air_at_minus_two_freezes_nothing_and_colder_air_only_in_time() -> None:
    assert freezing(Run(ROUND, CAKE, 68.0, [Stage(5000, FREEZES_C, 60, 60, 60)])) is None
    found = freezing(Run(ROUND, CAKE, 68.0, [BENCH, Stage(120, -10, 40, 40, 20)]))
    assert found is not None
    assert found.stage == 1
    shorter = [BENCH, Stage(found.minutes * 0.99, -10, 40, 40, 20)]
    assert freezing(Run(ROUND, CAKE, 68.0, shorter)) is None
    assert freezing(Run(ROUND, CAKE, 68.0, [BENCH, Stage(120, -10, 40, 40, 20)]), until=61.0) is None


def test_a_base_that_cools_best_freezes_first() -> None:
    run = Run(ROUND, CAKE, 68.0, [Stage(60, -20, 5, 40, 40)])
    found = freezing(run)
    assert found is not None
    base, top = rims(run, np.array([found.minutes]))[:, 0]
    assert base == pytest.approx(FREEZES_C, abs=0.01)
    assert top > base


CASE = Case(ROUND, CAKE, 68.0, (BENCH, Stage(2400, 3, 8, 8, 5)))


def test_the_range_holds_every_point_between_its_ends() -> None:
    for found in cooling_range(CASE, [57.0, 21.0, COLD_C]):
        times = [time for time in found.points if time is not None]
        assert len(times) == len(POINTS) == 9
        assert (found.fast, found.slow) == (min(times), max(times))
        assert found.points[0] == found.likely


def test_a_slow_end_that_never_gets_cold_is_reported_as_such() -> None:
    weak = Case(ROUND, CAKE, 68.0, (Stage(6000, 4.5, 6, 6, 3),))
    (found,) = cooling_range(weak, [COLD_C])
    assert found.slow is None
    assert found.likely is not None


def test_the_fast_end_takes_no_credit_for_freezing_air() -> None:
    blast = Case(ROUND, CAKE, 68.0, (Stage(60, -1.5, 30, 30, 15), Stage(9, -10, 30, 30, 15)))
    assert [stage.ambient_c for stage in at_point(blast, Point("x", air_c=-1.0)).stages] == [-2.0, -10.0]


def test_warming_is_soonest_at_the_fast_end_where_the_air_is_warmer() -> None:
    for places in warming_range(CASE).values():
        for found in places[2:4]:  # mean and centre
            assert (found.fast, found.slow) == (min(t or 0 for t in found.points), max(t or 0 for t in found.points))


def test_a_composition_is_a_share_of_known_components() -> None:
    for percent in ({"water": 50.0, "sugar": 50.0}, {}, {"water": -5.0, "fat": 105.0}):
        with pytest.raises(ValueError, match="composition is a share"):
            mass_fractions(percent)
    for air in (-0.1, MOST_AIR + 0.01):
        with pytest.raises(ValueError, match="of the volume"):
            food_of({"water": 100}, air)


def test_shares_that_do_not_add_up_to_a_hundred_count_as_parts() -> None:
    assert food_of({"water": 30, "fat": 10}) == food_of({"water": 75, "fat": 25})
    assert food_of({"water": 100}).cp == pytest.approx(component("water", "cp", 30.0) * 1000)


def test_cores_followed_side_by_side_cool_as_each_by_itself() -> None:
    some = [
        CASE,
        Case(Cylinder(60, 40), food_of({"water": 80, "carb": 20}), 30.0, (COLD,)),
        Case(Block(300, 200, 50), CAKE, 90.0, (BENCH, Stage(300, 3, 8, 8, 5), CAR, COLD)),
    ]
    round_ones = core_times_of(some[:2], [57.0, 21.0, 5.0])
    for case, found in zip(some, [*round_ones, *core_times_of(some[2:], [57.0, 21.0, 5.0])], strict=True):
        assert found == pytest.approx(core_times(case.run(), [57.0, 21.0, 5.0]))
    assert round_ones[1][0] is None
