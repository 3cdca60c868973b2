"""A plan of what is promised in some days, and what has no place in it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from costing.plan.checking import violations
from costing.plan.explaining import Reason
from costing.plan.needs_explained import reasons_of
from costing.plan.placing import Placing, leaving_times
from costing.plan.problem import Plan, Problem
from costing.plan.promises import Limits, PromiseCheck, made_for, made_with
from costing.plan.proofs import SureUse
from costing.plan.repair import Repair, never
from costing.plan.verdicts import IMPOSSIBLE
from orders.planning.problem import KitchenProblem

NOTHING: Final = Plan()
#: How often loads are taken out and put in again until all have their place; so many are a few seconds.
ITERATIONS: Final = 3000

#: How often drives are arranged anew among the vehicles until each has one.
_DRIVES: Final = 200


@dataclass(frozen=True, slots=True)
class Over:
    """A load that has no place: why, and whether that is proved, so that no other plan has one for it.

    ``reasons`` are one or two causes beside the plan, or in an empty kitchen where it is proved. ``drive`` is the drive
    of an order, which is when it is: nothing is looked for any longer.
    """

    order: str
    batch: str
    reasons: tuple[Reason, ...]
    sure_use: SureUse | None = None
    proved: bool = False
    drive: bool = False


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
    now: datetime | None = None,
    iterations: int = ITERATIONS,
    enough: Callable[[], bool] = never,
    slowly: bool = True,
) -> DaysPlan:
    """Return a plan of all that is promised, checked slot by slot where ``slowly``; what finds no place is named.

    ``stored`` is a plan of some of it that keeps every rule (`sound_part()`), from which it begins: what of that begins
    before ``now``, and what is in production, stay where they are, except where the cooling log says another time.

    What is in production may have begun before ``now``, where the cooling log says so at the moment it says. Of all
    other orders nothing has: their work lies after it, except of those that find no place then and are taken to have
    been begun without anybody saying so.

    Raises
    ------
    AssertionError
        When the checker, which shares no code with the engine, finds the plan broken.
    """
    whole = kitchen.problem()
    minute = 0 if now is None else max(0, kitchen.minute(now))
    fixed = _fixed(whole, kitchen, stored, minute)
    low = -(-minute // whole.kitchen.grid)
    away = list(_away(whole, stored, fixed))
    gone = {one.batch for one in away}
    problem = without(whole, gone)
    stored = Plan(tuple(one for one in stored.placed if one.code not in gone))
    placing = _begun_with(problem, stored, fixed)
    unplaced = _placed(placing, kitchen, low, 0, enough)
    alone = list(_alone(problem, unplaced))
    rest = without(problem, {one.batch for one in alone})
    if unplaced:
        placing = _begun_with(rest, stored, fixed)
        unplaced = _placed(placing, kitchen, low, iterations, enough)
    over = [*away, *alone, *(_beside(placing, code) for code in unplaced)]
    within, plan = without(rest, set(unplaced)), placing.plan()
    found = violations(within, plan) if slowly else []
    if found:
        raise AssertionError(found[:3])
    return DaysPlan(kitchen, within, plan, tuple(over))


def _begun_with(problem: Problem, stored: Plan, fixed: frozenset[str]) -> Placing:
    """Return a stored plan to go on with; what the cooling log knows of is where that says, if it fits there."""
    placing = Placing(problem)
    if stored.placed:
        placing.load(stored)
        for code in list(placing.loads):
            _as_recorded(placing, code)
        placing.settle()
        _stay(placing, fixed)
    return placing


def _stay(placing: Placing, codes: Iterable[str]) -> None:
    """Let batches stay where they are, with what they take, and with the others of a load that serves several orders.

    Nothing more goes into these.
    """
    plan = placing.plan()
    staying = made_for(plan, codes)
    placing.fixed |= staying | made_with(plan, staying, placing.apart)


def _as_recorded(placing: Placing, code: str) -> None:
    """Let a load be where records say: one for several orders with all of them, else what records speak of alone."""
    leaves = placing.leaves(placing.order_of[code])
    if leaves is None or code not in placing.places or _is_as_recorded(placing, code):
        return
    mark = placing.mark()
    if _together_as_recorded(placing, code) and _is_as_recorded(placing, code):
        return
    placing.back_to(mark)
    placing.take_out(code)
    if not placing.put(code, leaves) or not _is_as_recorded(placing, code):
        placing.back_to(mark)


def _together_as_recorded(placing: Placing, code: str) -> bool:
    load = placing.load_of(code)
    if len(load.takings) < 2:
        return False
    leaving = {one.batch: placing.places[one.batch].boundaries[-1] for one in load.takings}
    for one in leaving:
        placing.take_out(one)
    return placing.put_load(load, None, leaving)


def _is_as_recorded(placing: Placing, code: str) -> bool:
    """Return whether a load, and what it takes, began where the cooling log says, as far as it says anything."""
    places = placing.places[code].boundaries
    itself = all(slots >> places[step] & 1 for step, slots in placing.begun.get(code, {}).items())
    return itself and placing.recorded(code)


def _fixed(problem: Problem, kitchen: KitchenProblem, stored: Plan, now: int) -> frozenset[str]:
    """Return what stays where it is: what has begun by the stored plan, what is in production, and what that takes."""
    production = (batch.code for order in problem.orders if order.code in kitchen.begun for batch in order.batches)
    before = (place.code for place in stored.placed if place.boundaries[0] < now)
    return frozenset(made_for(stored, [*production, *before]))


def _placed(
    placing: Placing, kitchen: KitchenProblem, low: int, iterations: int, enough: Callable[[], bool]
) -> list[str]:
    """Place all loads and return those that have no place: first what is begun, the rest from a slot on."""
    able = [code for code in placing.loads if code not in placing.fixed]
    begun = [code for code in able if placing.order_of[code] in kitchen.begun]
    others = [code for code in able if placing.order_of[code] not in kitchen.begun]
    late = _late(placing.problem, [code for code in others if code not in placing.places], low)
    steps = [([*begun, *late], 0), ([code for code in others if code not in late], low)]
    for loads, first in steps if low else [(able, 0)]:
        placing.begin_from(first)
        repair = Repair(placing, movable=loads)
        if loads and repair.first_plan():
            repair.repair(iterations, enough)
        if low and not first:
            # What is begun stays, and nothing more goes into the batches it takes from.
            _stay(placing, loads)
    return placing.unplaced()


def _late(problem: Problem, codes: Sequence[str], low: int) -> list[str]:
    """Return loads that could not be made from a slot on, whatever else there is."""
    if not low or not codes:
        return []
    placing = Placing(problem)
    placing.begin_from(low)
    late, mark = [], placing.mark()
    for code in codes:
        times = leaving_times(placing.windows[placing.order_of[code]], 4)
        if not any(placing.put(code, time) for time in times):
            late.append(code)
        placing.back_to(mark)
    return late


def _away(problem: Problem, stored: Plan, fixed: frozenset[str]) -> Iterable[Over]:
    """Yield the drives for which no vehicle or nobody is there, beside the others: each is when it is."""
    drives = (replace(one, batches=tuple(each for each in one.batches if each.after)) for one in problem.orders)
    placing = Placing(replace(problem, orders=tuple(one for one in drives if one.batches), components=()))
    there = Plan(tuple(one for one in stored.placed if one.code in placing.loads))
    placing.load(there, fixed & placing.loads.keys())
    repair = Repair(placing, movable=[code for code in placing.loads if code not in placing.fixed])
    unplaced = repair.first_plan()
    for code in repair.repair(_DRIVES) if unplaced else ():
        yield replace(_beside(placing, code), drive=True)


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
    return Over(order, code, reasons_of(placing, placing.loads[code], placing.ends(code)))
