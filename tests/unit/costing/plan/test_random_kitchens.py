"""Plans of random kitchens, with shared components, walked through by the independent checker."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.plan.checking import ABSENT, violations
from costing.plan.fast_checking import FastChecker
from costing.plan.placing import Placing
from costing.plan.problem import Order, Plan, Problem
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.repair import Repair
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE
from tests.unit.costing.plan.kitchens import order, pooled, with_loads_for_several, with_takings

ROOT = Path(__file__).parents[4]
SEEDS = st.integers(0, 10**6)
KITCHENS = int(os.environ.get("COLDSET_KITCHENS", settings().max_examples))


Kitchens = Callable[[int], Problem]
#: Kitchens in which batches share components, and in which loads serve several orders besides.
BOTH = pytest.mark.parametrize("kitchens", [pooled, with_loads_for_several])


def planned(seed: int, iterations: int = 10, kitchens: Kitchens = pooled) -> tuple[Problem, Plan]:
    """Return what was placed of a random kitchen's orders, and the plan."""
    problem = kitchens(seed)
    placing = Placing(problem)
    repair = Repair(placing, seed)
    repair.first_plan()
    unplaced = set(repair.repair(iterations))
    assert unplaced == set(placing.unplaced())
    plan = placing.plan()
    assert {found.kind for found in violations(problem, plan)} <= {ABSENT}
    orders = (replace(one, batches=tuple(b for b in one.batches if b.code not in unplaced)) for one in problem.orders)
    return replace(problem, orders=tuple(one for one in orders if one.batches)), plan


@BOTH
@settings(max_examples=KITCHENS)
@given(SEEDS)
def test_every_plan_keeps_every_rule(kitchens: Kitchens, seed: int) -> None:
    problem, plan = planned(seed, kitchens=kitchens)
    assert violations(problem, plan) == []
    assert FastChecker(problem).holds(plan)


@BOTH
@settings(max_examples=KITCHENS // 2)
@given(SEEDS)
def test_what_is_taken_out_leaves_nothing_behind(kitchens: Kitchens, seed: int) -> None:
    problem = kitchens(seed)
    placing, untouched = Placing(problem), Placing(problem)
    Repair(placing, seed).first_plan()
    placing.settle()
    mark = placing.mark()
    before, free = placing.plan(), [row.copy() for row in placing.capacity.rows]
    for code in [code for code in placing.loads if code in placing.places]:
        placing.take_out(code)
    assert placing.places == {}
    assert all((row == other).all() for row, other in zip(placing.capacity.rows, untouched.capacity.rows, strict=True))
    placing.back_to(mark)
    assert placing.plan() == before
    assert all((row == other).all() for row, other in zip(placing.capacity.rows, free, strict=True))


def inquiry_of(problem: Problem, seed: int) -> Order:
    random = Random(seed)
    asked = order(random, "inquiry", problem.kitchen, ("base", "cream"), 1)
    loads = {one.code: one.sizes[-1].most for one in problem.components if one.apart is not None}
    return with_takings(random, asked, loads)


@BOTH
@settings(max_examples=KITCHENS // 2)
@given(SEEDS)
def test_every_yes_of_a_promise_check_is_a_plan_that_can_be_made(kitchens: Kitchens, seed: int) -> None:
    problem, plan = planned(seed, 0, kitchens)
    inquiry = inquiry_of(problem, seed)
    begin = inquiry.windows[0][0]
    windows = [(begin + shift, begin + shift + 30) for shift in (-120, 0, 120)]
    found = PromiseCheck(problem, plan).check(inquiry, windows, Limits(tries=6))
    for window, answer in zip(windows, found, strict=True):
        promised = replace(problem, orders=(*problem.orders, replace(inquiry, windows=(window,))))
        assert (answer.plan is not None) is (answer.verdict in (AS_PLANNED, BY_REARRANGING))
        if answer.plan is not None:
            assert violations(promised, answer.plan) == []


@BOTH
@settings(max_examples=KITCHENS // 2)
@given(SEEDS, st.integers(60, 400))
def test_what_has_begun_stays_as_it_began(kitchens: Kitchens, seed: int, slots: int) -> None:
    problem, plan = planned(seed, 0, kitchens)
    now = replace(problem, kitchen=replace(problem.kitchen, now=slots * 5))
    inquiry = inquiry_of(problem, seed)
    (found,) = PromiseCheck(now, plan).check(inquiry, inquiry.windows, Limits(tries=6))
    if found.plan is not None:
        promised = replace(now, orders=(*problem.orders, inquiry))
        assert violations(promised, found.plan, plan) == []
        places = found.plan.by_code()
        for place in plan.placed:
            if place.boundaries[0] < now.kitchen.now:
                assert places[place.code].boundaries[:-1] == place.boundaries[:-1]
                assert place.component not in ("buns", "loaves") or places[place.code] == place


@BOTH
@pytest.mark.parametrize("seed", range(8))
def test_what_a_search_found_room_for_is_never_proved_impossible(kitchens: Kitchens, seed: int) -> None:
    """An order that is part of a plan is taken out and asked for again, with everything else movable."""
    problem, plan = planned(seed, kitchens=kitchens)
    asked = problem.orders[-1]
    others = replace(problem, orders=problem.orders[:-1])
    placing = Placing(problem)
    placing.load(plan)
    for batch in asked.batches:
        placing.take_out(batch.code)
    (found,) = PromiseCheck(others, placing.plan()).check(asked, asked.windows, Limits(tries=0))
    assert found.verdict != IMPOSSIBLE


def test_a_plan_does_not_depend_on_the_order_of_sets() -> None:
    """Processes with other hash seeds make the same plan."""
    program = (
        "from tests.unit.costing.plan.kitchens import with_loads_for_several\n"
        "from costing.plan.placing import Placing\n"
        "from costing.plan.repair import Repair\n"
        "placing = Placing(with_loads_for_several(7, 10)); repair = Repair(placing, 3)\n"
        "repair.first_plan(); repair.repair(60); repair.improve(20); print(placing.plan())\n"
    )
    plans = {
        subprocess.run(
            [sys.executable, "-c", program],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(plans) == 1
