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

NOTHING: Final = Plan()
#: How often loads are taken out and put in again until all have their place; so many are a few seconds.
ITERATIONS: Final = 3000


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


def plan_days(
    kitchen: KitchenProblem,
    *,
    stored: Plan = NOTHING,
    now: int = 0,
    iterations: int = ITERATIONS,
    enough: Callable[[], bool] = never,
    slowly: bool = True,
) -> DaysPlan:
    """Return a plan of all that is promised, checked slot by slot where ``slowly``; what finds no place is named.

    ``stored`` is a sound plan of some of it (:func:`stored_plan`), from which it begins: what of that begins before
    ``now``, a minute of the plan, and what is in production stay where they are.

    Raises
    ------
    AssertionError
        When the checker, which shares no code with the engine, finds the plan broken.
    """
    problem = kitchen.problem()
    fixed = _fixed(problem, kitchen, stored, now)
    placing, repair = _begun_with(problem, stored, fixed)
    unplaced = repair.first_plan()
    alone = list(_alone(problem, unplaced))
    rest = without(problem, {one.batch for one in alone})
    if unplaced:
        placing, repair = _begun_with(rest, stored, fixed)
        unplaced = repair.repair(iterations, enough) if repair.first_plan() else []
    over = [*alone, *(_beside(placing, code) for code in unplaced)]
    within, plan = without(rest, set(unplaced)), placing.plan()
    found = violations(within, plan) if slowly else []
    if found:
        raise AssertionError(found[:3])
    return DaysPlan(kitchen, within, plan, tuple(over))


def _begun_with(problem: Problem, stored: Plan, fixed: frozenset[str]) -> tuple[Placing, Repair]:
    placing = Placing(problem)
    if stored.placed:
        placing.load(stored, fixed)
    return placing, Repair(placing, movable=[code for code in placing.loads if code not in fixed])


def _fixed(problem: Problem, kitchen: KitchenProblem, stored: Plan, now: int) -> frozenset[str]:
    """Return what stays where it is: what has begun by the plan, what is in production, and what that takes."""
    begun = {
        batch.code for order in problem.orders if order.code in kitchen.begun for batch in order.batches
    } & stored.by_code().keys()
    begun |= {place.code for place in stored.placed if place.boundaries[0] < now}
    while (
        more := {place.code for place in stored.placed if any(taking.batch in begun for taking in place.takings)}
        - begun
    ):
        begun |= more
    return frozenset(begun)


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
    found = Explainer(placing.capacity, placing.loads[code], placing.windows[order], placing.low).reasons()
    return Over(order, code, found)
