"""A plan of what is promised in some days, and what has no place in it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from costing.plan.checking import violations
from costing.plan.explaining import Explainer, Reason
from costing.plan.placing import Placing, leaving_times
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


def plan_days(
    kitchen: KitchenProblem,
    *,
    now: datetime | None = None,
    iterations: int = ITERATIONS,
    enough: Callable[[], bool] = never,
) -> DaysPlan:
    """Return a plan of all that is promised, checked slot by slot; what finds no place is named.

    What is in production may have begun before ``now``, where the cooling log says so at the moment it says. Of all
    other orders nothing has: their work lies after it, except of those that find no place then and are taken to have
    been begun without anybody saying so.

    Raises
    ------
    AssertionError
        When the checker, which shares no code with the engine, finds the plan broken.
    """
    whole = kitchen.problem()
    away = list(_away(whole))
    problem = without(whole, {one.batch for one in away})
    low = 0 if now is None else max(0, -(-kitchen.minute(now) // problem.kitchen.grid))
    placing = Placing(problem)
    unplaced = _placed(placing, kitchen, low, 0, enough)
    alone = list(_alone(problem, unplaced))
    rest = without(problem, {one.batch for one in alone})
    if unplaced:
        placing = Placing(rest)
        unplaced = _placed(placing, kitchen, low, iterations, enough)
    over = [*away, *alone, *(_beside(placing, code) for code in unplaced)]
    within, plan = without(rest, set(unplaced)), placing.plan()
    found = violations(within, plan)
    if found:
        raise AssertionError(found[:3])
    return DaysPlan(kitchen, within, plan, tuple(over))


def _placed(
    placing: Placing, kitchen: KitchenProblem, low: int, iterations: int, enough: Callable[[], bool]
) -> list[str]:
    """Place all loads and return those that have no place: first what is begun, the rest from a slot on."""
    begun = [code for code in placing.loads if placing.order_of[code] in kitchen.begun]
    others = [code for code in placing.loads if placing.order_of[code] not in kitchen.begun]
    late = _late(placing.problem, others, low)
    steps = [([*begun, *late], 0), ([code for code in others if code not in late], low)]
    for loads, first in steps if low else [([*placing.loads], 0)]:
        placing.begin_from(first)
        repair = Repair(placing, movable=loads)
        if loads and repair.first_plan():
            repair.repair(iterations, enough)
    return placing.unplaced()


def _late(problem: Problem, codes: Sequence[str], low: int) -> list[str]:
    """Return loads that could not be made from a slot on, whatever else there is."""
    placing = Placing(problem)
    placing.begin_from(low)
    late, mark = [], placing.mark()
    for code in codes if low else ():
        times = leaving_times(placing.windows[placing.order_of[code]], 4)
        if not any(placing.put(code, time) for time in times):
            late.append(code)
        placing.back_to(mark)
    return late


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
