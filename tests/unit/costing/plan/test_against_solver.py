"""Random inquiries against a constraint solver that knows nothing of the engine: every yes and every no agrees.

`COLDSET_INQUIRIES=500` asks more of them.
"""

from __future__ import annotations

import os
from dataclasses import replace

import pytest

from costing.plan.answers import feasible, latest_start
from costing.plan.checking import violations
from costing.plan.placing import Placing
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.repair import Repair
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED
from tests.unit.costing.plan.kitchens import as_one_order, one_hour_of_buns, with_drives, with_plan, with_twins
from tests.unit.costing.plan.solver import Solver

INQUIRIES = int(os.environ.get("COLDSET_INQUIRIES", "50"))
#: Where two steps may go together while there is enough, and not when there is less.
TOGETHER_AT_TIMES = (74, 202, 219, 235, 388)


@pytest.mark.parametrize("seed", sorted({*range(INQUIRIES), *TOGETHER_AT_TIMES}))
def test_an_inquiry_is_answered_as_the_solver_answers_it(seed: int) -> None:
    problem, asked = with_plan(seed)
    beside = feasible(problem, asked, movable=False)
    assert beside.verdict == (AS_PLANNED if Solver(problem, asked, movable=False).has_plan() else IMPOSSIBLE)
    anew = feasible(problem, asked, movable=True)
    expected = Solver(problem, asked, movable=True).has_plan()
    assert (anew.verdict in (AS_PLANNED, BY_REARRANGING)) is expected or (anew.verdict == UNDECIDED and seed >= 50)
    # What needs more than the search's nodes is not decided: that is no answer, and none of the first.
    assert expected or anew.verdict == IMPOSSIBLE or (anew.verdict == UNDECIDED and seed >= 50)
    for answer in (beside, anew):
        assert answer.plan is None or violations(problem, answer.plan) == []


@pytest.mark.parametrize("seed", range(INQUIRIES))
def test_no_answer_about_a_delivery_is_wrong(seed: int) -> None:
    """A vehicle and people are away from when an order leaves; every yes is one of the solver's, and every no."""
    problem, plan, asked = with_drives(seed)
    assert violations(problem, plan) == []
    (found,) = PromiseCheck(problem, plan).check(asked, asked.windows, Limits(tries=10))
    with_asked = replace(problem, orders=(*problem.orders, asked))
    if found.plan is not None:
        assert violations(with_asked, found.plan) == []
    if found.verdict == AS_PLANNED:
        assert Solver(with_asked, asked.code, movable=False).has_plan()
    elif found.verdict != UNDECIDED:
        assert Solver(with_asked, asked.code, movable=True).has_plan() is (found.verdict == BY_REARRANGING)


@pytest.mark.parametrize("seed", range(INQUIRIES))
def test_an_answer_about_loads_for_several_orders_is_the_best_of_all_ways_to_make_them_up(seed: int) -> None:
    """A no holds with a load for each order, with one for all, and with all between; a yes is one of them."""
    promised, asked = one_hour_of_buns(seed)
    placing = Placing(promised)
    repair = Repair(placing, seed)
    repair.first_plan()
    if repair.repair(200):
        promised, placing = replace(promised, orders=()), Placing(replace(promised, orders=()))
    whole = replace(promised, orders=(*promised.orders, asked))
    (found,) = PromiseCheck(promised, placing.plan()).check(asked, asked.windows, Limits(tries=10))
    if found.plan is not None:
        assert violations(whole, found.plan) == []
    expected = any(Solver(one, "all", movable=True).has_plan() for one in as_one_order(whole))
    assert (found.plan is not None) is expected or (found.verdict == UNDECIDED and seed >= 50)


@pytest.mark.parametrize("seed", range(INQUIRIES // 5))
def test_the_latest_start_is_the_solvers(seed: int) -> None:
    problem, asked = with_plan(seed)
    found = latest_start(problem, asked, movable=False)
    assert found.exact
    assert found.minute == Solver(problem, asked, movable=False).latest_start()


@pytest.mark.parametrize("seed", range(INQUIRIES // 3))
def test_batches_that_are_alike_are_placed_as_the_solver_places_them(seed: int) -> None:
    problem, asked = with_twins(seed)
    found = latest_start(problem, asked, movable=False)
    expected = Solver(problem, asked, movable=False).latest_start()
    assert found.exact or seed >= 50
    if found.exact:
        assert found.minute == expected
    elif found.minute is not None:
        assert expected is not None
        assert found.minute <= expected
