"""What finds a place only when others move: few of them, inside their windows, and back where they need not have."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from costing.plan.checking import violations
from costing.plan.placing import Placing
from costing.plan.problem import Order, Plan, Problem
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.repair import Repair
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED
from tests.bench.weeks import DAY, load, week


def promised_week(people: int, orders: int, share: float) -> tuple[Problem, Plan]:
    problem = week(people, orders, seed=5, share=share, most=3)
    placing = Placing(problem)
    repair = Repair(placing)
    repair.first_plan()
    unplaced = repair.repair(300)
    left = (replace(one, batches=tuple(b for b in one.batches if b.code not in unplaced)) for one in problem.orders)
    return replace(problem, orders=tuple(one for one in left if one.batches)), placing.plan()


@pytest.fixture(scope="module")
def promised() -> tuple[Problem, Plan]:
    return promised_week(4, 25, 0.5)


def page(random: Random) -> tuple[Order, list[tuple[int, int]]]:
    day = 7 + random.choice((3, 4, 5))
    loads = tuple(load(random, f"inquiry/{at}") for at in range(random.randint(1, 3)))
    windows = [(day * DAY + hour * 60, day * DAY + hour * 60 + 30) for hour in range(9, 17)]
    return Order("inquiry", (), loads), windows


def test_nearly_all_windows_of_a_week_of_25_orders_are_decided_and_every_yes_is_a_plan(
    promised: tuple[Problem, Plan],
) -> None:
    """Limited in tries, not by a clock. By moving two or three loads alone, one window of eight stayed open."""
    problem, plan = promised
    check, random = PromiseCheck(problem, plan), Random(3)
    verdicts = []
    for _ in range(5):
        inquiry, windows = page(random)
        for window, answer in zip(windows, check.check(inquiry, windows, Limits(tries=3)), strict=True):
            verdicts.append(answer.verdict)
            if answer.plan is not None:
                whole = replace(problem, orders=(*problem.orders, replace(inquiry, windows=(window,))))
                assert violations(whole, answer.plan, plan) == []
    assert verdicts.count(UNDECIDED) <= len(verdicts) // 20
    assert {AS_PLANNED, BY_REARRANGING} <= set(verdicts)
    assert set(verdicts) <= {AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED}


def test_what_need_not_move_is_put_back(promised: tuple[Problem, Plan]) -> None:
    problem, plan = promised
    check, random = PromiseCheck(problem, plan), Random(3)
    before = {one.code: one.boundaries for one in plan.placed if not one.component}
    shares = []
    for _ in range(5):
        inquiry, windows = page(random)
        for answer in check.check(inquiry, windows, Limits(tries=3)):
            if answer.verdict == BY_REARRANGING and answer.plan is not None:
                places = answer.plan.by_code()
                shares.append(sum(places[code].boundaries != there for code, there in before.items()) / len(before))
    assert shares
    assert sorted(shares)[len(shares) // 2] < 0.2


def test_what_is_begun_stays_with_what_is_made_for_it(promised: tuple[Problem, Plan]) -> None:
    problem, plan = promised
    first = [batch.code for order in problem.orders[:12] for batch in order.batches]
    check, random = PromiseCheck(problem, plan, stays=first), Random(3)
    inquiry, windows = page(random)
    before = plan.by_code()
    for answer in check.check(inquiry, windows, Limits(tries=3)):
        if answer.plan is not None:
            places = answer.plan.by_code()
            assert all(places[code].boundaries == before[code].boundaries for code in first)


def test_answers_are_the_same_each_time(promised: tuple[Problem, Plan]) -> None:
    problem, plan = promised
    inquiry, windows = page(Random(3))
    found = [PromiseCheck(problem, plan).check(inquiry, windows, Limits(tries=3)) for _ in range(2)]
    assert found[0] == found[1]


def test_a_plan_of_the_same_kitchen_works_out_no_step_again(promised: tuple[Problem, Plan]) -> None:
    """Only what is new in it, and what differs, has steps of its own; the plan is the same."""
    problem, plan = promised
    (first, *more), kitchen = problem.orders, problem.kitchen
    other = replace(first, batches=tuple(replace(one, making=load(Random(1), "x").making) for one in first.batches))
    blank, changed = Placing(problem), replace(problem, orders=(other, *more))
    for one, same in ((problem, True), (changed, False), (replace(problem, kitchen=replace(kitchen, now=5)), True)):
        placing = Placing(one, blank)
        assert all((placing.loads[b.code] is blank.loads[b.code]) is same for b in first.batches)
        assert placing.loads == Placing(one).loads
    again = Placing(problem, blank)
    again.load(plan)
    assert again.plan() == plan
