"""A plan of what is promised in some days, and what has no place in it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Final

from costing.plan.checking import violations
from costing.plan.explaining import Explainer, Reason
from costing.plan.placing import Placing
from costing.plan.problem import Plan, Problem
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.proofs import SureUse
from costing.plan.repair import Repair, never
from costing.plan.verdicts import IMPOSSIBLE
from orders.planning.problem import KitchenProblem

#: How often loads are taken out and put in again until all have their place; so many are a few seconds.
ITERATIONS: Final = 3000

#: How often drives are arranged anew among the vehicles until each has one.
_DRIVES: Final = 200


@dataclass(frozen=True, slots=True)
class Over:
    """A load that has no place: why, and whether that is proved, so that no other plan has one for it.

    ``reasons`` are one or two causes beside the plan, or in an empty kitchen where it is proved.
    """

    order: str
    batch: str
    reasons: tuple[Reason, ...]
    sure_use: SureUse | None = None
    proved: bool = False


@dataclass(frozen=True, slots=True)
class DaysPlan:
    """A plan of what is promised; ``problem`` is of the loads that are in it, and ``over`` what is not."""

    kitchen: KitchenProblem
    problem: Problem
    plan: Plan
    over: tuple[Over, ...] = ()


def plan_days(kitchen: KitchenProblem, *, iterations: int = ITERATIONS, enough: Callable[[], bool] = never) -> DaysPlan:
    """Return a plan of all that is promised, checked slot by slot; what finds no place is named.

    Raises
    ------
    AssertionError
        When the checker, which shares no code with the engine, finds the plan broken.
    """
    whole = kitchen.problem()
    away = list(_away(whole))
    problem = without(whole, {one.batch for one in away})
    placing = Placing(problem)
    unplaced = Repair(placing).first_plan()
    alone = list(_alone(problem, unplaced))
    rest = without(problem, {one.batch for one in alone})
    if unplaced:
        placing = Placing(rest)
        repair = Repair(placing)
        unplaced = repair.repair(iterations, enough) if repair.first_plan() else []
    over = [*away, *alone, *(_beside(placing, code) for code in unplaced)]
    within, plan = without(rest, set(unplaced)), placing.plan()
    found = violations(within, plan)
    if found:
        raise AssertionError(found[:3])
    return DaysPlan(kitchen, within, plan, tuple(over))


def _away(problem: Problem) -> Iterable[Over]:
    """Yield the drives for which no vehicle or nobody is there, beside the others: each is when it is."""
    drives = (replace(one, batches=tuple(each for each in one.batches if each.after)) for one in problem.orders)
    placing = Placing(replace(problem, orders=tuple(one for one in drives if one.batches), components=()))
    repair = Repair(placing)
    unplaced = repair.first_plan()
    yield from (_beside(placing, code) for code in (repair.repair(_DRIVES) if unplaced else ()))


def without(problem: Problem, codes: Iterable[str]) -> Problem:
    """Return a problem without some loads; orders of which nothing is left are left out."""
    gone = set(codes)
    left = ((one, tuple(each for each in one.batches if each.code not in gone)) for one in problem.orders)
    return replace(problem, orders=tuple(replace(one, batches=batches) for one, batches in left if batches))


def _alone(problem: Problem, unplaced: Iterable[str]) -> Iterable[Over]:
    """Yield what could not be made even if nothing else were."""
    wanted = set(unplaced)
    if not wanted:
        return
    check = PromiseCheck(replace(problem, orders=()), Plan())
    for order in problem.orders:
        for batch in order.batches:
            if batch.code in wanted:
                answer = check.check(replace(order, batches=(batch,)), order.windows, Limits(tries=0))[0]
                if answer.verdict == IMPOSSIBLE:
                    yield Over(order.code, batch.code, answer.reasons, answer.sure_use, proved=True)


def _beside(placing: Placing, code: str) -> Over:
    order = placing.order_of[code]
    found = Explainer(placing.capacity, placing.loads[code], placing.ends(code), placing.low).reasons()
    return Over(order, code, found)
