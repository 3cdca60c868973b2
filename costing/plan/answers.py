"""Answers about an inquiry: whether it can be promised, when it is ready at the earliest, when to begin at the latest.

A yes is a plan in which the checker finds nothing. A no rests on a search that left nothing out, or on a sum of sure
use; where the search ends before that, the answer is that it is not decided.
"""

from __future__ import annotations

from dataclasses import replace

from costing.plan.checking import violations
from costing.plan.exact import EARLIEST
from costing.plan.obstacles import obstacles
from costing.plan.placing import Placing
from costing.plan.planned import plan_so_far
from costing.plan.problem import Plan, Problem, Span
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.questions import Found, Question, frozen
from costing.plan.repair import Repair
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED, Answer, Time

NODES = 3000
"""How many nodes an exact search looks at before it is not decided."""
_WEEK = 7 * 1440
_TRIES = 4
_ITERATIONS = 200


def with_window(problem: Problem, asked: str, window: Span) -> Problem:
    """Return a problem in which an order may leave in one window.

    Parameters
    ----------
    problem : Problem
        What is promised.
    asked : str
        Code of the order.
    window : tuple of (int, int)
        [min], both ends allowed.
    """
    orders = tuple(replace(one, windows=(window,)) if one.code == asked else one for one in problem.orders)
    return replace(problem, orders=orders)


def feasible(problem: Problem, asked: str, *, movable: bool, nodes: int = NODES) -> Answer:
    """Return whether an order can be promised.

    Parameters
    ----------
    problem : Problem
        What is promised, and the order with its window.
    asked : str
        Code of the order.
    movable : bool
        Whether what is planned may be planned anew inside its windows.
    nodes : int
        How many nodes an exact search looks at.
    """
    beside = Question(problem, asked, movable=False, high=_last_window(problem)).run(nodes=nodes)
    if _holds(problem, beside.plan):
        return Answer(AS_PLANNED, beside.plan)
    if movable:
        return _rearranged(problem, asked, nodes)
    if beside.exhausted:
        return Answer(IMPOSSIBLE, reasons=obstacles(problem, asked, movable=False))
    sure = Question(problem, asked, movable=False, high=_last_window(problem)).sure_use()
    if sure is not None:
        return Answer(IMPOSSIBLE, sure_use=sure)
    plan = _searched(problem, movable=False)
    return Answer(UNDECIDED) if plan is None else Answer(AS_PLANNED, plan)


def _rearranged(problem: Problem, asked: str, nodes: int) -> Answer:
    """Return whether it can be promised with others elsewhere: few of them, else all that may be."""
    anew = Question(problem, asked, movable=True, high=_last_window(problem))
    if not anew.fits_alone():
        return Answer(IMPOSSIBLE, reasons=obstacles(problem, asked, movable=True))
    sure = anew.sure_use()
    if sure is not None:
        return Answer(IMPOSSIBLE, sure_use=sure)
    quick = _quick(problem, asked)
    if quick is not None and _holds(problem, quick.plan):
        return quick
    found = anew.run(nodes=nodes)
    if _holds(problem, found.plan):
        return Answer(BY_REARRANGING, found.plan)
    if found.exhausted and found.plan is None:
        reasons = obstacles(problem, asked, movable=True) or obstacles(problem, asked, movable=False)
        return Answer(IMPOSSIBLE, reasons=reasons)
    plan = _searched(problem, movable=True)
    return Answer(UNDECIDED) if plan is None else Answer(BY_REARRANGING, plan)


def _quick(problem: Problem, asked: str) -> Answer | None:
    """Return a yes for which few loads are elsewhere, or None."""
    order = next(one for one in problem.orders if one.code == asked)
    others = replace(problem, orders=tuple(one for one in problem.orders if one.code != asked))
    if any(batch.planned is None for one in others.orders for batch in one.batches):
        return None
    plan = plan_so_far(others)
    (found,) = PromiseCheck(others, plan).check(order, order.windows, Limits(_TRIES))
    return found if found.plan is not None else None


def _searched(problem: Problem, *, movable: bool) -> Plan | None:
    """Return a plan found by ruin and recreate, or None."""
    stays = frozen(problem, movable=movable)
    placing = Placing(problem)
    so_far = plan_so_far(problem)
    placing.load(Plan(tuple(one for one in so_far.placed if one.code in stays)), stays)
    repair = Repair(placing, movable=[code for code in placing.loads if code not in stays])
    repair.first_plan()
    if repair.repair(_ITERATIONS):
        return None
    repair.improve(_ITERATIONS // 10)
    plan = placing.plan()
    return plan if _holds(problem, plan) else None


def latest_start(problem: Problem, asked: str, *, movable: bool, nodes: int = NODES) -> Time:
    """Return the latest time at which the first step of an order may begin.

    Parameters
    ----------
    problem : Problem
        What is promised, and the order with its window.
    asked : str
        Code of the order.
    movable : bool
        Whether what is planned may be planned anew inside its windows.
    nodes : int
        How many nodes an exact search looks at.
    """
    high = _last_window(problem)
    found = Question(problem, asked, movable=movable, high=high).run(nodes=nodes, optimize=True)
    return _time(problem, found)


def earliest_ready(problem: Problem, asked: str, *, movable: bool, nodes: int = NODES) -> Time:
    """Return the earliest time at which everything of an order is packed, whenever it leaves then.

    Parameters
    ----------
    problem : Problem
        What is promised, and the order; its windows are not looked at.
    asked : str
        Code of the order.
    movable : bool
        Whether what is planned may be planned anew inside its windows.
    nodes : int
        How many nodes an exact search looks at.
    """
    kitchen = problem.kitchen
    anytime = with_window(problem, asked, (kitchen.now, kitchen.end))
    order = next(one for one in problem.orders if one.code == asked)
    work = sum(element.least for batch in order.batches for element in batch.making.elements)
    soon = max(_last_window(problem), kitchen.now + work + _WEEK)
    found = Found(None, 0, False)
    for high in (soon, kitchen.end):
        found = Question(anytime, asked, movable=movable, high=high).run(EARLIEST, nodes=nodes, optimize=True)
        if found.plan is not None or not found.exhausted:
            break
    return _time(anytime, found)


def _time(problem: Problem, found: Found) -> Time:
    if not _holds(problem, found.plan):
        return Time(None, None, found.exhausted and found.plan is None)
    return Time(found.value, found.plan, found.exhausted)


def _holds(problem: Problem, plan: Plan | None) -> bool:
    """Return whether there is a plan in which the checker finds nothing."""
    return plan is not None and not violations(problem, plan)


def _last_window(problem: Problem) -> int:
    planned = (place.boundaries[-1] for place in plan_so_far(problem).placed)
    return max(*planned, *(end for order in problem.orders for _, end in order.windows), 0, 0)
