"""Weeks of an invented kitchen that can be kept: a search limited in iterations places everything."""

from __future__ import annotations

from dataclasses import replace

import pytest

from costing.plan.checking import violations
from costing.plan.placing import Placing
from costing.plan.problem import Problem
from costing.plan.repair import Repair
from tests.bench.weeks import week


def few(people: int, seed: int) -> Problem:
    return week(people, 20, seed=seed, share=0.6, most=4)


@pytest.mark.parametrize("seed", [1, 2])
def test_a_week_that_can_be_kept_is_placed_and_then_fresher(seed: int) -> None:
    problem = few(2, seed)
    placing = Placing(problem)
    repair = Repair(placing)
    repair.first_plan()
    assert repair.repair(400) == []
    assert violations(problem, placing.plan()) == []
    before = repair.lead()
    assert repair.improve(40, heat=0.0) <= before
    assert repair.lead() <= before
    assert violations(problem, placing.plan()) == []


def test_what_can_never_be_placed_stays_named() -> None:
    """An order that leaves an hour after the beginning, before anybody has come, cannot be made."""
    problem = few(2, 1)
    first, *others = problem.orders
    early = replace(first, windows=((60, 60),))
    placing = Placing(replace(problem, orders=(early, *others)))
    repair = Repair(placing)
    repair.first_plan()
    assert set(repair.repair(60)) == {batch.code for batch in early.batches}


def test_a_search_ends_when_somebody_says_so() -> None:
    placing = Placing(few(2, 2))
    repair = Repair(placing)
    everything = repair.first_plan([[]])
    assert everything == [*placing.loads]
    assert repair.repair(100, lambda: True) == everything
