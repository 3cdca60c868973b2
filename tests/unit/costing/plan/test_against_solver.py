"""Random inquiries against a constraint solver that knows nothing of the engine: every yes and every no agrees.

`COLDSET_INQUIRIES=500` asks more of them.
"""

from __future__ import annotations

import os

import pytest

from costing.plan.answers import feasible, latest_start
from costing.plan.checking import violations
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED
from tests.unit.costing.plan.kitchens import with_plan, with_twins
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
