"""Answers about an inquiry: whether it can be promised, when it is ready at the earliest, when to begin at the latest.

A yes is a plan in which the checker finds nothing. A no rests on a search that left nothing out, or on a sum of sure
use; where the search ends before that, the answer is that it is not decided.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from costing.plan.checking import violations
from costing.plan.exact import EARLIEST
from costing.plan.explaining import Reason
from costing.plan.obstacles import obstacles
from costing.plan.planned import plan_so_far
from costing.plan.problem import Plan, Problem, Span
from costing.plan.proofs import SureUse
from costing.plan.questions import Found, Question

AS_PLANNED, BY_REARRANGING, UNDECIDED, IMPOSSIBLE = "as_planned", "by_rearranging", "undecided", "impossible"
"""The four verdicts: yes beside the plan as it is; yes with others elsewhere inside their windows; we check; no."""

NODES = 3000
"""How many nodes an exact search looks at before it is not decided."""
_WEEK = 7 * 1440


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether something can be promised.

    Parameters
    ----------
    verdict : str
        One of the four.
    plan : Plan or None
        For a yes, where everything is.
    sure_use : SureUse or None
        For a no, more needed than there is whatever is moved.
    reasons : tuple of Reason
        For a no, one cause or two that are in the way.
    """

    verdict: str
    plan: Plan | None = None
    sure_use: SureUse | None = None
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Time:
    """A time that was asked for.

    Parameters
    ----------
    minute : int or None
        [min]; None where there is none, or none was found.
    plan : Plan or None
        With it, where everything is.
    exact : bool
        Whether nothing better is left, and None means that there is none.
    """

    minute: int | None
    plan: Plan | None
    exact: bool


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
    high = _last_window(problem)
    beside = Question(problem, asked, movable=False, high=high).run(nodes=nodes)
    if _holds(problem, beside):
        return Answer(AS_PLANNED, beside.plan)
    if not movable:
        if not beside.exhausted:
            return Answer(UNDECIDED)
        return Answer(IMPOSSIBLE, reasons=obstacles(problem, asked, movable=False))
    anew = Question(problem, asked, movable=True, high=high)
    if not anew.fits_alone():
        return Answer(IMPOSSIBLE, reasons=obstacles(problem, asked, movable=True))
    sure = anew.sure_use()
    if sure is not None:
        return Answer(IMPOSSIBLE, sure_use=sure)
    found = anew.run(nodes=nodes)
    if _holds(problem, found):
        return Answer(BY_REARRANGING, found.plan)
    if not found.exhausted:
        return Answer(UNDECIDED)
    reasons = obstacles(problem, asked, movable=True) or obstacles(problem, asked, movable=False)
    return Answer(IMPOSSIBLE, reasons=reasons)


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
    if not _holds(problem, found):
        return Time(None, None, found.exhausted and found.plan is None)
    return Time(found.value, found.plan, found.exhausted)


def _holds(problem: Problem, found: Found) -> bool:
    """Return whether a plan was found in which the checker finds nothing."""
    return found.plan is not None and not violations(problem, found.plan)


def _last_window(problem: Problem) -> int:
    planned = (place.boundaries[-1] for place in plan_so_far(problem).placed)
    return max(*planned, *(end for order in problem.orders for _, end in order.windows), 0, 0)
