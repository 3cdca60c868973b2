"""Whether what is asked for can be made beside what is promised: four verdicts, and windows that work instead."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from costing.plan.deriving import Table, Trip
from costing.plan.explaining import Reason
from costing.plan.fast_checking import FastChecker
from costing.plan.needs_explained import reasons_of
from costing.plan.placing import Placing
from costing.plan.problem import Order, Plan, Problem
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.proofs import SureUse
from costing.plan.repair import Repair, never
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED, Answer
from orders.planning.plans import NOTHING, DaysPlan, without

#: The code of what is asked for; no order's number begins so.
ASKED: Final = "?"
#: Windows looked at instead lie so many hours before and after the one asked for.
OTHERS: Final = tuple(hours for far in (1, 2, 3, 4, 6, 24, 48) for hours in (-far, far))
#: The order in which others are offered to a customer: near by, then another day, then what is far on the same day.
OFFERED: Final = tuple(hours for far in (1, 2, 24, 4, 48, 3, 6) for hours in (-far, far))
#: Of these at most so many are named before the window asked for, and after it.
NAMED: Final = 1

Leaving = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Promise:
    """The verdict on a window, with what is in the way; ``instead`` are times of leaving that work, in order.

    ``unstated`` says that it would be a no by waits that nobody stated, and is not by what is stated alone. With a yes
    comes its ``plan``, of the ``problem`` with the table in it, and the plan ``before``.
    """

    verdict: str
    reasons: tuple[Reason, ...] = ()
    sure_use: SureUse | None = None
    instead: tuple[Leaving, ...] = ()
    unstated: bool = False
    plan: Plan | None = None
    problem: Problem | None = None
    before: Plan = NOTHING

    @property
    def holds(self) -> bool:
        """Whether it is a yes."""
        return self.verdict in (AS_PLANNED, BY_REARRANGING)


def promise(
    found: DaysPlan,
    units: Mapping[str, int],
    leaves: Leaving,
    *,
    now: datetime,
    may_leave: Callable[[Leaving], bool],
    trip: Trip | None = None,
    limits: Limits | None = None,
    others: bool = True,
) -> Promise:
    """Return whether a table can leave in a window, and windows as long around it that work where it cannot.

    ``trip`` is the drive of what is delivered. ``may_leave`` says whether something may be handed over then; of others
    only such are proposed, and none where ``others`` is false. Loads of orders in production stay where they are. Each
    yes rests on a plan that the checker passed.
    """
    kitchen = found.kitchen
    asked = kitchen.table(ASKED, units, [leaves], trip)
    problem = without(kitchen.problem(asked, now=now), (one.batch for one in found.over))
    begun = [batch.code for one in problem.orders if one.code in kitchen.begun for batch in one.batches]
    check = PromiseCheck(problem, found.plan, stays=begun)
    order = kitchen.deriving([*kitchen.tables, asked]).order(asked)
    answer = check.check(order, asked.windows, limits or Limits())[0]
    if answer.verdict == UNDECIDED:
        answer = _anew(check, replace(order, windows=asked.windows), limits or Limits())
    if answer.verdict in (AS_PLANNED, BY_REARRANGING):
        whole = replace(problem, orders=(*problem.orders, replace(order, windows=asked.windows)))
        return Promise(answer.verdict, plan=answer.plan, problem=whole, before=found.plan)
    unstated = answer.verdict == IMPOSSIBLE and not _proved_by_what_is_stated(found, asked, now)
    able = [window for window in _others(leaves) if others and window[0] > now and may_leave(window)]
    windows = kitchen.table(ASKED, units, able).windows
    answers = check.check(order, windows, Limits(tries=0))
    works = [window for window, one in zip(able, answers, strict=True) if one.verdict == AS_PLANNED]
    verdict = UNDECIDED if unstated else answer.verdict
    return Promise(verdict, answer.reasons, answer.sure_use, _nearest(works, leaves[0]), unstated)


def windows_work(
    found: DaysPlan, units: Mapping[str, int], windows: Sequence[Leaving], *, now: datetime, trip: Trip | None = None
) -> tuple[str, ...]:
    """Return the verdict on each of some times of leaving, by insertion alone: nothing promised moves for it.

    A no is proved, by what is stated; what has no place as it is planned now is undecided.
    """
    if not windows:
        return ()
    kitchen = found.kitchen
    asked = kitchen.table(ASKED, units, windows, trip)
    problem = without(kitchen.problem(asked, now=now), (one.batch for one in found.over))
    begun = [batch.code for one in problem.orders if one.code in kitchen.begun for batch in one.batches]
    order = kitchen.deriving([*kitchen.tables, asked]).order(asked)
    check = PromiseCheck(problem, found.plan, stays=begun)
    answers = check.check(order, asked.windows, Limits(tries=0))
    return tuple(
        UNDECIDED
        if one.verdict == IMPOSSIBLE
        and not _proved_by_what_is_stated(found, kitchen.table(ASKED, units, [leaves], trip), now)
        else one.verdict
        for leaves, one in zip(windows, answers, strict=True)
    )


def near(leaves: Leaving, *, now: datetime, may_leave: Callable[[Leaving], bool]) -> list[Leaving]:
    """Return times of leaving around one at which something may be handed over, in the order to offer them."""
    return [window for window in _others(leaves, OFFERED) if window[0] > now and may_leave(window)]


def _proved_by_what_is_stated(found: DaysPlan, asked: Table, now: datetime) -> bool:
    """Return whether a no stands where waits that nobody stated may be long: a safe default proves nothing."""
    kitchen = found.kitchen
    problem = without(kitchen.problem(asked, now=now, lax=True), (one.batch for one in found.over))
    order = kitchen.deriving([*kitchen.tables, asked], lax=True).order(asked)
    answer = PromiseCheck(problem, found.plan).check(order, asked.windows, Limits(tries=0))[0]
    return answer.verdict == IMPOSSIBLE


def _anew(check: PromiseCheck, order: Order, limits: Limits) -> Answer:
    """Plan everything that may move anew, with the order in it; where that fails, say what is in its way as planned."""
    problem = replace(check.problem, orders=(*check.problem.orders, order))
    placing = Placing(problem)
    placing.load(check.plan, check.fixed)
    repair = Repair(placing, limits.seed, [code for code in placing.loads if code not in check.fixed])
    unplaced = repair.first_plan()
    if not unplaced:
        return _checked(problem, check.plan, placing) or Answer(UNDECIDED)
    reasons = _in_the_way(placing, unplaced[0])
    if repair.repair(limits.tries, limits.enough or never):
        return Answer(UNDECIDED, reasons=reasons)
    return _checked(problem, check.plan, placing) or Answer(UNDECIDED, reasons=reasons)


def _checked(problem: Problem, before: Plan, placing: Placing) -> Answer | None:
    plan = placing.plan()
    return Answer(BY_REARRANGING, plan) if FastChecker(problem, before).holds(plan) else None


def _in_the_way(placing: Placing, code: str) -> tuple[Reason, ...]:
    return reasons_of(placing, placing.loads[code], placing.ends(code))


def _others(leaves: Leaving, others: Sequence[int] = OTHERS) -> Iterator[Leaving]:
    for hours in others:
        later = timedelta(hours=hours)
        yield leaves[0] + later, leaves[1] + later


def _nearest(works: Sequence[Leaving], begin: datetime) -> tuple[Leaving, ...]:
    """Return the nearest windows before and after, the earlier first."""
    ordered = sorted(works)
    before = [window for window in ordered if window[0] < begin][-NAMED:]
    return (*before, *[window for window in ordered if window[0] > begin][:NAMED])
