"""How fast plans are made: `make bench` prints a table.

Weeks of 60 orders that can be kept (`weeks`): the first plan by insertion, the repair until everything has its place,
memory, and a check of 15 windows for an inquiry. Beside it stands, in the same run, what one would write without sets
of slots: the same insertion of a load, backward from when it leaves, that tries slot after slot.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
import tracemalloc
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from random import Random
from typing import Any

from costing.plan.bit_sets import last
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, chain_of
from costing.plan.checking import violations
from costing.plan.fast_checking import FastChecker
from costing.plan.insertion import begins_before, traced
from costing.plan.placing import Placing
from costing.plan.problem import Order, Problem
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.repair import Repair
from tests.bench.weeks import DAY, for_several, load, used, week

SECONDS = 90.0
PAGE_SECONDS = 0.33
PAGES = 10


def seconds(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return CPU seconds and result of some work."""
    begun = time.process_time()
    found = work()
    return time.process_time() - begun, found


def until(limit: float) -> Callable[[], bool]:
    """Return whether so many CPU seconds are over."""
    end = time.process_time() + limit
    return lambda: time.process_time() > end


def slot_by_slot(capacity: Capacity, chain: Chain, leaves: int, low: int) -> tuple[int, ...] | None:
    """Return the latest boundaries of a chain by trying slot after slot, remembering which failed."""
    failed: set[tuple[int, int]] = set()

    def free(step: int, begin: int, end: int) -> bool:
        return any(
            all((capacity.rows[row][begin:end] >= amount).all() for row, amount, _ in option)
            for option in chain.steps[step].options
        )

    def tried(step: int, end: int) -> list[int] | None:
        if step < 0:
            return []
        one = chain.steps[step]
        for begin in range(end - one.least, max(low, end - one.longest) - 1, -1):
            there = not one.attended or capacity.attended >> begin & 1
            if (step, begin) not in failed and there and free(step, begin, end):
                before = tried(step - 1, begin)
                if before is not None:
                    return [*before, begin]
                failed.add((step, begin))
        return None

    found = tried(len(chain.steps) - 1, leaves)
    return None if found is None else (*found, leaves)


def one_load(placing: Placing, problem: Problem) -> tuple[float, float]:
    """Return milliseconds for one chain beside a plan: over sets of slots, and slot by slot."""
    capacity = placing.capacity
    random = Random(9)
    chains = [chain_of(load(random, "x").making, capacity) for _ in range(40)]
    times = [random.choice(problem.orders).windows[0][0] // capacity.grid for _ in chains]

    def sets() -> None:
        for chain, leaves in zip(chains, times, strict=True):
            begins = begins_before(capacity, chain, leaves, leaves, placing.low)
            if begins is not None:
                traced(capacity, chain, begins, last(begins[0]), leaves)

    def slots() -> None:
        for chain, leaves in zip(chains, times, strict=True):
            slot_by_slot(capacity, chain, leaves, placing.low)

    sets()
    return seconds(sets)[0] / len(chains) * 1000, seconds(slots)[0] / len(chains) * 1000


def shared_week(people: int, seed: int) -> None:
    """Print the same week with loads that may serve several orders."""
    problem = for_several(week(people, seed=seed))
    placing = Placing(problem)
    repair = Repair(placing)
    first, unplaced = seconds(repair.first_plan)
    mending, left = seconds(lambda: repair.repair(10**7, until(SECONDS)))
    wrong = [found for found in violations(problem, placing.plan()) if found.kind != "absent"]
    served = Counter(len(one.takings) for one in placing.places.values() if one.component in placing.apart)
    sys.stdout.write(
        f"{people} people, loads for several: {dict(sorted(served.items()))} by orders,"
        f" {used(placing) // 60} h of hands | first plan {first:.2f} s, {len(unplaced)} unplaced | {len(left)} after"
        f" {mending:.1f} s | broken rules {len(wrong)}\n"
    )


def whole_week(people: int, seed: int) -> None:
    problem = week(people, seed=seed)
    loads = sum(len(order.batches) for order in problem.orders)
    placing = Placing(problem)
    repair = Repair(placing)
    first, unplaced = seconds(repair.first_plan)
    sets, slots = one_load(placing, problem)
    mending, left = seconds(lambda: repair.repair(10**7, until(SECONDS)))
    wrong = [found for found in violations(problem, placing.plan()) if found.kind != "absent"]
    sys.stdout.write(
        f"{people} people: {loads} loads, {len(placing.places)} batches, {used(placing) // 60} h of hands | first plan"
        f" {first:.2f} s, {len(unplaced)} unplaced | {len(left)} after {mending:.1f} s | one chain {sets:.2f} ms,"
        f" slot by slot {slots:.2f} ms (ratio {slots / sets:.0f}) | broken rules {len(wrong)}\n"
    )


def memory() -> None:
    problem = week(5)
    tracemalloc.start()
    placing = Placing(problem)
    repair = Repair(placing)
    repair.first_plan()
    repair.repair(100)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    process = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    sys.stdout.write(
        f"memory of a week of 5 people in repair: {peak / 1e6:.1f} MB at most, {process:.0f} MB the process\n"
    )


def without(problem: Problem, unplaced: list[str]) -> Problem:
    """Return a problem without loads that have no place."""
    orders = (replace(one, batches=tuple(b for b in one.batches if b.code not in unplaced)) for one in problem.orders)
    return replace(problem, orders=tuple(one for one in orders if one.batches))


def page(random: Random) -> tuple[Order, list[tuple[int, int]]]:
    """Return an inquiry of one to three loads and 15 windows on two days."""
    loads = tuple(load(random, f"inquiry/{at}") for at in range(random.randint(1, 3)))
    day = 7 + random.choice((3, 4, 5))
    hours = [(day, hour) for hour in range(9, 17)] + [(day - 1, hour) for hour in range(9, 16)]
    return Order("inquiry", (), loads), [(at * DAY + hour * 60, at * DAY + hour * 60 + 30) for at, hour in hours]


def promise_checks(
    orders: int, people: int, share: float, limit: float = PAGE_SECONDS, *, several: bool = False
) -> None:
    problem = week(people, orders, seed=5, share=share, most=3)
    problem = for_several(problem) if several else problem
    placing = Placing(problem)
    repair = Repair(placing)
    repair.first_plan()
    problem = without(problem, repair.repair(2000, until(10)))
    plan = placing.plan()
    check, checker = PromiseCheck(problem, plan), FastChecker(problem)
    random, verdicts, taken = Random(3), Counter[str](), []
    for _ in range(PAGES):
        inquiry, windows = page(random)
        inquiry = for_several(replace(problem, orders=(inquiry,), components=())).orders[0] if several else inquiry
        spent, answers = seconds(lambda: check.check(inquiry, windows, Limits(enough=until(limit))))  # noqa: B023
        taken.append(spent * 1000)
        verdicts.update(answer.verdict for answer in answers)
    whole = sum(verdicts.values())
    shares = ", ".join(f"{name} {count / whole:.0%}" for name, count in sorted(verdicts.items()))
    quick = statistics.median(seconds(lambda: checker.holds(plan))[0] for _ in range(9)) * 1000
    slow = seconds(lambda: violations(problem, plan))[0] * 1000
    steps = sum(1 for place in plan.placed for _ in pairwise(place.boundaries))
    sys.stdout.write(
        f"15 windows in {limit} s,{' loads for several,' * several} {len(problem.orders)} orders,"
        f" {people} people, {used(placing) // 60} h of hands: p50"
        f" {statistics.median(taken):.0f} ms, p95 {sorted(taken)[int(0.95 * len(taken))]:.0f} ms | {shares} |"
        f" checkers {quick:.1f} and {slow:.0f} ms for {steps} steps\n"
    )


def main() -> None:
    """Print the table."""
    for people in (3, 4, 5):
        whole_week(people, 1)
        shared_week(people, 1)
    memory()
    promise_checks(25, 4, 0.5, 0.2)
    promise_checks(40, 4, 0.7)
    promise_checks(25, 4, 0.5, 0.2, several=True)
    promise_checks(40, 4, 0.7, several=True)


if __name__ == "__main__":
    main()
