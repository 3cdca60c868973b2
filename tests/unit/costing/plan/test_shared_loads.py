"""A load that is not full serves several orders while it keeps and has room: derived by hand, both checkers asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import time
from fractions import Fraction

import pytest

from costing.contract import Book, Product, Step
from costing.contract.kitchen import OpenHours
from costing.plan.book_kitchen import days_of, kitchen_of
from costing.plan.checking import NEED, STAY, violations
from costing.plan.deriving import Deriving, Table
from costing.plan.fast_checking import FastChecker
from costing.plan.placing import Placing
from costing.plan.problem import Plan, Problem
from costing.plan.promises import PromiseCheck
from costing.plan.repair import Repair
from costing.plan.verdicts import AS_PLANNED, IMPOSSIBLE
from tests.unit.costing.plan.test_deriving import BAKER, CAKE, COLD, CREAM, DAY, MONDAY, OVEN, book_of

DAY_OF_EVENT = 4
BUNS = Product(
    "buns",
    "Saffron buns",
    "buns",
    1,
    "food",
    load=8,
    steps=(
        Step("work", "Shape", BAKER, Fraction(10), Fraction(1)),
        Step("bake", "Bake", station="oven", minutes=Fraction(60), temperature_c=Fraction(200), hold_max=Fraction(120)),
    ),
)


def book(closes: time = time(8), **more: object) -> Book:
    """Return a kitchen with one place in its oven, open from 6:00."""
    hours = tuple(OpenHours(day, time(6), closes, 1) for day in range(7))
    return book_of(replace(BUNS, **more), stations=(replace(OVEN, places=1),), hours=hours)  # type: ignore[arg-type]  # any field


def problem_of(book: Book, *tables: Table) -> Problem:
    deriving = Deriving(book, {}, lambda code, grams: {}, share=True)
    kitchen = kitchen_of(book, days_of(book, MONDAY, 14), 0)
    return Problem(kitchen, tuple(map(deriving.order, tables)), deriving.components(tables))


def table(code: str, units: int, *, hour: float = 8) -> Table:
    leaves = DAY_OF_EVENT * DAY + int(hour * 60)
    return Table(code, {"buns": units}, ((leaves, leaves),))


def planned(problem: Problem) -> Plan:
    placing = Placing(problem)
    repair = Repair(placing)
    repair.first_plan()
    assert not repair.repair(100)
    plan = placing.plan()
    assert violations(problem, plan) == []
    assert FastChecker(problem, Plan()).holds(plan, problem.orders)
    return plan


def baked(*tables: Table, **more: object) -> list[int]:
    """Return how many orders each load of the oven serves."""
    plan = planned(problem_of(book(time(18), **more), *tables))
    return sorted(len(place.takings) for place in plan.placed if place.component == "product:buns")


def verdict(units: int) -> str:
    """Return whether so many more can leave at 8:00, beside an order of four."""
    promised = problem_of(book(), table("A", 4), table("?", units))
    order, others = promised.orders[1], replace(promised, orders=promised.orders[:1])
    return PromiseCheck(others, planned(others)).check(order, order.windows)[0].verdict


def test_two_orders_of_one_morning_are_baked_in_one_load() -> None:
    """Shaped from 6:00 to 6:20, baked until 7:20; a second load would leave the oven at 8:15, past the hand-over.

    Seen: each order had a load of its own, so the second was refused.
    """
    assert verdict(4) == AS_PLANNED
    # Five and four are more than a load of eight.
    assert verdict(5) != AS_PLANNED


def test_what_no_load_has_room_for_is_still_refused_with_a_proof() -> None:
    promised = problem_of(book(closes=time(7)), table("A", 4))
    empty = replace(promised, orders=())
    answer = PromiseCheck(empty, Plan()).check(promised.orders[0], promised.orders[0].windows)[0]
    assert answer.verdict == IMPOSSIBLE
    assert [(one.cause, one.step) for one in answer.reasons] == [("hours", "product:buns/2")]


@pytest.mark.parametrize(("hour", "loads"), [(10.0, [2]), (10.25, [1, 1])])
def test_a_load_serves_a_later_order_while_it_keeps(hour: float, loads: list[int]) -> None:
    """From the oven at 8:00 at the latest, for the order of 8:00; held for two hours at most."""
    assert baked(table("A", 3), table("B", 4, hour=hour)) == loads


def test_a_full_load_is_the_orders_own_and_the_rest_is_shared() -> None:
    assert baked(table("A", 11, hour=16), table("B", 5, hour=16)) == [2]


def test_what_leaves_in_its_mold_is_made_for_one_order() -> None:
    deriving = Deriving(book(mold_leaves=True), {}, lambda code, grams: {}, share=True)
    assert deriving.components([table("A", 3), table("B", 4)]) == ()
    assert [len(deriving.order(table("A", 3)).batches[0].making.elements)] == [4]


@pytest.mark.parametrize(("sooner", "kind"), [(+25, STAY), (-25, NEED)])
def test_both_checkers_notice_a_load_that_is_too_old_or_not_there_yet(sooner: int, kind: str) -> None:
    """Baked two hours earlier than it keeps, or ready after somebody takes of it."""
    problem = problem_of(book(time(18)), table("A", 3, hour=16), table("B", 4, hour=16))
    plan = planned(problem)
    broken = []
    for place in plan.placed:
        *times, end = place.boundaries
        broken.append(replace(place, boundaries=(*(t - sooner * 5 for t in times), end)) if place.component else place)
    assert kind in {one.kind for one in violations(problem, Plan(tuple(broken)))}
    assert not FastChecker(problem, Plan()).holds(Plan(tuple(broken)), problem.orders)


def test_a_load_that_records_say_is_in_the_making_takes_nothing_more_and_stays() -> None:
    """Out of the oven and cooling since 7:20: another order is baked apart."""
    chilled = (
        BUNS.steps[0],
        replace(BUNS.steps[1], kind="bake"),
        Step("chill", "Cool", station="cold", minutes=Fraction(30), hold_max=Fraction(600)),
    )
    began = DAY_OF_EVENT * DAY + 9 * 60
    first = replace(table("A", 3, hour=16), begun={"buns": (began,)})
    more = replace(BUNS, steps=chilled)
    kitchen = book_of(more, stations=(replace(OVEN, places=1), COLD))
    problem = problem_of(kitchen, first, table("B", 4, hour=16))
    plan = planned(problem)
    loads = [place for place in plan.placed if place.component]
    assert sorted(len(place.takings) for place in loads) == [1, 1]
    mine = next(place for place in loads if place.takings[0].batch.startswith("A/"))
    assert began in mine.boundaries


def test_a_batch_of_a_recipe_is_where_its_record_says_and_takes_nothing_more() -> None:
    """Set from 9:00 by the log of one order; what another order takes is whipped apart, later."""
    chill = Step("chill", "Set", station="cold", minutes=Fraction(60), hold_max=Fraction(600))
    cream = replace(CREAM, steps=(CREAM.steps[0], chill))
    kitchen = book_of(replace(CAKE, mold=None), cream, stations=(COLD,))
    began, leaves = (DAY_OF_EVENT - 1) * DAY + 9 * 60, DAY_OF_EVENT * DAY + 16 * 60
    tables = [Table(code, {"cake": 4}, ((leaves, leaves),)) for code in "AB"]
    problem = problem_of(kitchen, replace(tables[0], begun={"recipe:cream": (began,)}), tables[1])
    plan = planned(problem)
    batches = {place.takings[0].batch[0]: place for place in plan.placed if place.component == "recipe:cream"}
    assert sorted(batches) == ["A", "B"]
    assert began in batches["A"].boundaries
    assert len(batches["A"].takings) == 1


def test_a_shared_load_begins_where_what_it_takes_can_be_there() -> None:
    """Open from 6:00 to 8:00 and for half an hour at 9:00 and 10:00: after these there is no time to whip before it."""
    spans = ((time(6), time(8)), (time(9), time(9, 30)), (time(10), time(10, 30)))
    hours = tuple(OpenHours(day, begin, end, 1) for day in range(7) for begin, end in spans)
    at_once = replace(CREAM, steps=(replace(CREAM.steps[0], hold_max=Fraction(0)),))
    kitchen = book_of(replace(CAKE, mold=None), at_once, stations=(COLD,), hours=hours)
    leaves = DAY_OF_EVENT * DAY + 16 * 60
    problem = problem_of(kitchen, Table("A", {"cake": 2}, ((leaves, leaves),)))
    load = next(place for place in planned(problem).placed if place.component == "product:cake")
    assert load.boundaries[0] % DAY == 7 * 60 + 40, "filled for twenty minutes until 8:00"
