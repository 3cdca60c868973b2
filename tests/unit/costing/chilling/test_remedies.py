"""Changes with which a plan would meet its rule."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import (
    PROFILES,
    Block,
    Cylinder,
    Plan,
    Slab,
    Surroundings,
    depth,
    diameter,
    food_of,
    remedies,
    trial,
    trials,
    with_air,
    without_room_time,
)
from costing.chilling.bodies import Body
from costing.chilling.profiles import AMBIENT, COLD_C, COOKED, HOT_C, LUKEWARM_C
from costing.chilling.remedies import BLAST_C, SMALLEST_MM, STEP_MM
from tests.chilling_words import stage_in

CAKE = food_of({"water": 50, "fat": 25, "protein": 6, "carb": 18, "ash": 1})
BENCH, COLD = stage_in("room", 30, 21), stage_in("still", 720, 3)
FAN = stage_in("fan", 720, 3)
#: Verdicts of a rule that is met as given, and of one that is met at the slow end too.
MET, SURE = {"kept", "likely"}, {"kept"}
PLAN = Plan(Cylinder(250, 75), CAKE, 68.0, (BENCH, COLD), PROFILES[COOKED])

mm = st.floats(40, 250)
bodies = st.one_of(st.builds(Cylinder, mm, mm), st.builds(Slab, mm), st.builds(Block, mm, mm, mm))


@settings(max_examples=15, deadline=None)
@given(bodies, st.floats(20, 90), st.sampled_from(["still", "fan", "blast"]), st.sampled_from([COOKED, AMBIENT, "anz"]))
def test_the_depth_found_meets_the_rule_and_a_millimetre_more_does_not(
    body: Body, start: float, air: str, code: str
) -> None:
    plan = Plan(body, CAKE, start, (BENCH, stage_in(air, 300, 2.5)), PROFILES[code])
    found = depth(plan)
    for size, verdicts in ((found.likely_mm, MET), (found.slow_mm, SURE)):
        least = replace(plan, body=replace(body, height_mm=SMALLEST_MM))
        if size is None:
            assert trial(least).verdict not in verdicts
            continue
        assert trial(replace(plan, body=replace(body, height_mm=size))).verdict in verdicts
        assert size <= body.height_mm
        if size < body.height_mm:
            assert size % STEP_MM == 0
            more = min(size + 1, body.height_mm)
            assert trial(replace(plan, body=replace(body, height_mm=more))).verdict not in verdicts


@settings(max_examples=15, deadline=None)
@given(bodies, st.sampled_from(["still", "fan", "blast"]))
def test_a_size_that_is_sure_to_do_is_never_above_the_likely_one(body: Body, air: str) -> None:
    plan = Plan(body, CAKE, 68.0, (BENCH, stage_in(air, 300, 3)), PROFILES[COOKED])
    for found in (depth(plan), diameter(plan)):
        if found is not None and found.slow_mm is not None:
            assert found.likely_mm is not None
            assert SMALLEST_MM <= found.slow_mm <= found.likely_mm


def test_a_width_is_found_like_a_depth_and_a_blocks_length_goes_with_it() -> None:
    plan = replace(PLAN, stages=(FAN,))
    found = diameter(plan)
    assert found is not None
    assert found.likely_mm is not None
    assert trial(replace(plan, body=Cylinder(found.likely_mm, 75))).verdict in MET
    assert trial(replace(plan, body=Cylinder(found.likely_mm + 1, 75))).verdict not in MET
    block = diameter(replace(plan, body=Block(400, 200, 75)))
    assert block is not None
    assert block.likely_mm is not None
    wide = block.likely_mm
    assert trial(replace(plan, body=Block(2 * wide, wide, 75))).verdict in MET
    assert trial(replace(plan, body=Block(2 * wide + 2, wide + 1, 75))).verdict not in MET
    assert diameter(replace(plan, body=Slab(75))) is None


@pytest.mark.parametrize("met", [lambda mm: mm <= 20 or mm > 40, lambda mm: int(mm) % 3 == 0, lambda mm: mm > 60])
def test_a_search_ends_even_where_something_larger_did_better(
    met: Callable[[float], bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The results of the sizes tried are invented; no size above one that broke the rule is reported."""
    broke: list[float] = []

    def drawn(wanted: Sequence[tuple[Plan, object]]) -> list[dict[float, float | None]]:
        broke.extend(plan.body.height_mm for plan, _ in wanted if not met(plan.body.height_mm))
        late = {True: 1.0, False: 1e6}
        return [
            dict.fromkeys((HOT_C, LUKEWARM_C, COLD_C), 0.0) | {COLD_C: late[met(p.body.height_mm)]} for p, _ in wanted
        ]

    monkeypatch.setattr(remedies, "_times", drawn)
    found = depth(PLAN)
    assert found.likely_mm == found.slow_mm
    assert found.likely_mm is None or (met(found.likely_mm) and found.likely_mm < min(broke))


def test_a_plan_that_meets_the_rule_keeps_its_size_and_one_that_never_can_is_reported() -> None:
    shallow = replace(PLAN, body=Cylinder(250, 20.3), stages=(FAN,))
    assert depth(shallow).likely_mm == 20.3
    tiny = replace(shallow, body=Cylinder(250, 4.0))
    assert depth(tiny).slow_mm == 4.0
    warm = replace(PLAN, stages=(BENCH, stage_in("fan", 720, 6)))
    assert (depth(warm).likely_mm, depth(warm).slow_mm) == (None, None)


def test_a_rule_likely_met_is_reported_with_a_size_that_certainly_meets_it() -> None:
    plan = replace(PLAN, body=Slab(42), stages=(FAN,))
    found = depth(plan)
    assert found.likely_mm == 42
    assert found.slow_mm is not None
    assert found.slow_mm < 42


def test_the_bench_counts_in_a_size_and_so_does_a_board() -> None:
    """What stands on wood may be half as deep; and an hour in the room uses up the two hours to 21 °C."""
    straight, benched = (
        depth(replace(PLAN, stages=stages)).likely_mm or 0.0 for stages in ((FAN,), (stage_in("room", 90, 24), FAN))
    )
    assert benched < straight - 2
    board = depth(replace(PLAN, stages=(stage_in("fan", 720, 3, base="board"),))).likely_mm or 0.0
    assert board < 0.75 * straight


def test_a_blast_takes_the_place_of_every_stay_in_the_cold_and_freezes_nothing() -> None:
    plan = replace(PLAN, stages=(BENCH, stage_in("blast", 20, -10), COLD))
    assert trial(plan).freezes is None
    found = with_air(plan, "blast")
    assert found.plan.stages[0] == BENCH
    (blast,) = found.plan.stages[1:]
    assert (blast.ambient_c, blast.h_top) == (BLAST_C, 35)
    assert found.freezes is None
    assert (found.cold_slow or 0) < (trial(PLAN).cold_slow or 0)


def test_a_fan_changes_only_air_that_moves_less() -> None:
    plan = replace(PLAN, stages=(BENCH, stage_in("blast", 40, 1), COLD))
    stages = with_air(plan, "fan").plan.stages
    assert stages[:2] == plan.stages[:2]
    assert stages[2] == stage_in("fan", COLD.minutes, COLD.ambient_c)
    fan = with_air(PLAN, "fan")
    assert (fan.cold_likely or 0) < (trial(PLAN).cold_likely or 0)


def test_another_air_is_worked_out_behind_the_same_mold_board_and_lid() -> None:
    surroundings = Surroundings("glass", "board", covered=True)
    plan = replace(
        PLAN,
        stages=(surroundings.stage("room", 30, 21), surroundings.stage("still", 720, 3)),
        surroundings=surroundings,
    )
    for air in ("fan", "blast"):
        stage = with_air(plan, air).plan.stages[-1]
        expected = surroundings.stage(air, stage.minutes, stage.ambient_c)
        assert stage == expected
        assert stage.h_bottom == 0


def test_straight_in_skips_the_room_and_may_meet_another_air() -> None:
    found = without_room_time(PLAN)
    assert found is not None
    assert found.plan.stages == (COLD,)
    assert (found.cold_likely or 0) + 3 < (trial(PLAN).cold_likely or 0)
    blast = without_room_time(PLAN, "blast")
    assert blast is not None
    assert [stage.ambient_c for stage in blast.plan.stages] == [BLAST_C]
    assert without_room_time(replace(PLAN, stages=(COLD,))) is None
    assert without_room_time(replace(PLAN, stages=(BENCH,))) is None


def test_other_molds_are_judged_in_order_whatever_their_shape() -> None:
    others: list[Body] = [Cylinder(50, 40), Slab(80), Block(300, 200, 75)]
    found = trials([replace(PLAN, stages=(FAN,), body=body) for body in others])
    assert [each.verdict in MET for each in found] == [True, False, False]
    assert [each.plan.body for each in found] == others
    for each in found:
        assert each == trial(each.plan)
    assert trials([]) == []


def test_plans_judged_side_by_side_come_out_as_each_by_itself() -> None:
    plans = [PLAN, replace(PLAN, stages=(BENCH, FAN, COLD)), replace(PLAN, initial_c=40.0)]
    for together, plan in zip(trials(plans), plans, strict=True):
        alone = trial(plan)
        assert together.cold_slow == pytest.approx(alone.cold_slow)
        assert [leg.likely.minutes for leg in together.legs] == pytest.approx(
            [leg.likely.minutes for leg in alone.legs]
        )


def test_what_freezes_keeps_nothing() -> None:
    frozen = trial(replace(PLAN, body=Slab(30), stages=(stage_in("blast", 300, -20),)))
    assert all(leg.slow.met for leg in frozen.legs)
    assert frozen.verdict == "freezes"


@settings(max_examples=15, deadline=None)
@given(st.builds(Cylinder, st.floats(40, 150), st.floats(10, 40)), st.floats(58, 90))
def test_the_slow_end_meets_no_rule_that_is_not_met_as_given(body: Body, start: float) -> None:
    found = trial(Plan(body, CAKE, start, (FAN,), PROFILES[COOKED]))
    for leg in found.legs:
        assert leg.likely.met or not leg.slow.met
    assert (found.cold_likely or 0) < (found.cold_slow or 0)
