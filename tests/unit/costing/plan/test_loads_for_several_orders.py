"""Loads that serve several orders: what moves them, what begins them, what an order leaves behind, what is noticed."""

from __future__ import annotations

from dataclasses import replace
from datetime import time
from fractions import Fraction

import pytest

from costing.contract import Step
from costing.plan.bit_sets import last, span
from costing.plan.checking import NEED, STAY, TOO_MUCH, violations
from costing.plan.deriving import Deriving, Table
from costing.plan.fast_checking import FastChecker
from costing.plan.placing import Placing
from costing.plan.problem import (
    Batch,
    Component,
    Element,
    Kitchen,
    Making,
    Need,
    Order,
    Placed,
    Plan,
    Problem,
    Resource,
    SizeOnDemand,
    Taking,
    Use,
)
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.rearranging import Rearranging
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE
from tests.each import each
from tests.unit.costing.plan.test_deriving import CAKE, COLD, CREAM, DAY, OVEN, book_of
from tests.unit.costing.plan.test_shared_loads import BUNS, DAY_OF_EVENT, book, planned, problem_of, table

MIDNIGHT = DAY_OF_EVENT * DAY
TEN = MIDNIGHT + 10 * 60
#: Baked for an hour until it leaves: it is held for no time.
AT_ONCE = Order(
    "?",
    ((TEN, TEN),),
    (Batch("?/1", Making((Element("bake", 60, 60, (Use("station:oven", 1),)), Element("hold", 0, 0)))),),
)


def loads(plan: Plan) -> list[Placed]:
    return sorted((one for one in plan.placed if one.component == "product:buns"), key=lambda one: one.boundaries)


def takers(one: Placed) -> list[str]:
    return sorted(taking.batch[0] for taking in one.takings)


def hours(one: Placed) -> list[float]:
    return [(minute - MIDNIGHT) / 60 for minute in one.boundaries]


def two_orders() -> tuple[Problem, Plan]:
    """Return orders of three and four at 10:00, in one load: shaped from 8:40 for 17 minutes, baked 9:00 to 10:00."""
    problem = problem_of(book(time(18)), table("A", 3, hour=10), table("B", 4, hour=10))
    plan = planned(problem)
    assert [(takers(one), hours(one)[-3:]) for one in loads(plan)] == [(["A", "B"], [9, 10, 10])]
    return problem, plan


def test_a_load_makes_room_with_all_its_orders() -> None:
    """What has to leave the oven at 10:00 has its one place from 9:00; the others keep for two hours."""
    problem, plan = two_orders()
    (found,) = PromiseCheck(problem, plan).check(AT_ONCE, AT_ONCE.windows, Limits(tries=6))
    assert found.verdict == BY_REARRANGING
    assert found.plan is not None
    assert violations(replace(problem, orders=(*problem.orders, AT_ONCE)), found.plan) == []
    assert all(hours(one)[-2] <= 9 for one in loads(found.plan))


@pytest.mark.parametrize("begun", ["A/buns/1", "B/buns/1"])
def test_a_load_stays_where_it_is_if_it_stays_for_one_of_its_orders(begun: str) -> None:
    problem, plan = two_orders()
    (found,) = PromiseCheck(problem, plan, stays=[begun]).check(AT_ONCE, AT_ONCE.windows, Limits(tries=6))
    assert found.plan is None


def test_a_load_stays_with_what_is_pinned_of_it() -> None:
    problem, plan = two_orders()
    first, second = problem.orders
    pinned = replace(first.batches[0], planned=(TEN, TEN), fixed=True)
    problem = replace(problem, orders=(replace(first, batches=(pinned,)), second))
    (found,) = PromiseCheck(problem, plan).check(AT_ONCE, AT_ONCE.windows, Limits(tries=6))
    assert found.plan is None


@pytest.mark.parametrize(("stays", "verdict"), [((), True), (("A/buns/1",), False)])
def test_nothing_more_goes_into_a_load_that_is_begun(stays: tuple[str, ...], verdict: bool) -> None:
    """Open from 6:00 to 8:00: shaped until 6:20, baked until 7:20, and no time for a second load before 8:00."""
    problem = problem_of(book(), table("A", 4), table("?", 4))
    asked, promised = problem.orders[1], replace(problem, orders=problem.orders[:1])
    (found,) = PromiseCheck(promised, planned(promised), stays=stays).check(asked, asked.windows)
    assert (found.verdict == AS_PLANNED) is verdict


def test_an_order_that_is_canceled_leaves_the_load_to_the_other_and_its_room_to_the_next() -> None:
    problem, plan = two_orders()
    left = replace(problem, orders=problem.orders[1:])
    load = loads(plan)[0]
    mine = replace(load, takings=tuple(one for one in load.takings if one.batch.startswith("B/")))
    rest = Plan((*(one for one in plan.placed if one.code not in ("A/buns/1", load.code)), mine))
    assert violations(left, rest) == []
    assert FastChecker(left).holds(rest)
    asked = problem_of(book(time(18)), table("?", 3, hour=10)).orders[0]
    (found,) = PromiseCheck(left, rest).check(asked, asked.windows)
    assert found.verdict == AS_PLANNED
    # Three more would be made apart; where that has no time, they take what the first left of seven.
    closed = replace(left, kitchen=replace(left.kitchen, now=MIDNIGHT + 8 * 60))
    (late,) = PromiseCheck(closed, rest).check(asked, asked.windows)
    assert late.plan is not None
    assert [(takers(one), one.boundaries) for one in loads(late.plan)] == [(["?", "B"], load.boundaries)]


def test_what_other_orders_take_changes_no_size() -> None:
    for tables in ([table("A", 3)], [table("A", 3), table("B", 7), table("C", 11)]):
        (component,) = problem_of(book(), *tables).components
        assert [one.most for one in component.sizes] == [1, 2, 3, 4, 5, 6, 7, 8]
        assert component.sizes[6].making.elements[0].least == 17


@pytest.mark.parametrize(("later", "served"), [(12, [2]), (12.25, [1, 1])])
def test_nothing_is_made_much_sooner_only_to_be_made_together(later: float, served: list[int]) -> None:
    """They keep for two days; an order that leaves more than half a day after another has its own, fresh."""
    lasting = book(time(18), keeps_hours=Fraction(48), steps=(*BUNS.steps[:1], replace(BUNS.steps[1], hold_max=None)))
    problem = problem_of(lasting, table("A", 3, hour=7), table("B", 4, hour=7 + later))
    assert [len(one.takings) for one in loads(planned(problem))] == served


def test_orders_with_one_record_have_one_load() -> None:
    """Out of the oven and cooling since 9:00, by the records of both."""
    began = MIDNIGHT + 9 * 60
    chill = Step("chill", "Cool", station="cold", minutes=Fraction(30), hold_max=Fraction(600))
    more = replace(BUNS, steps=(BUNS.steps[0], replace(BUNS.steps[1], kind="bake"), chill))
    kitchen = book_of(more, stations=(replace(OVEN, places=1), COLD))
    tables = [replace(table(code, 3, hour=16), begun={"buns": (began,)}) for code in "AB"]
    (load,) = loads(planned(problem_of(kitchen, *tables)))
    assert takers(load) == ["A", "B"]
    assert began in load.boundaries


def test_a_record_of_what_a_load_takes_counts_where_the_load_may_serve_several() -> None:
    """Two of four cakes, and the cream for them set from 9:00 the day before."""
    chill = Step("chill", "Set", station="cold", minutes=Fraction(60), hold_max=Fraction(600))
    cream = replace(CREAM, steps=(CREAM.steps[0], chill))
    kitchen = book_of(replace(CAKE, mold=None), cream, stations=(COLD,))
    began, leaves = MIDNIGHT - DAY + 9 * 60, MIDNIGHT + 16 * 60
    asked = Table("A", {"cake": 2}, ((leaves, leaves),), begun={"recipe:cream": (began,)})
    (batch,) = (one for one in planned(problem_of(kitchen, asked)).placed if one.component == "recipe:cream")
    assert began in batch.boundaries


def an_hour_sooner(slots: int) -> int:
    return last(slots & span(0, last(slots) - 11) or slots)


@pytest.mark.parametrize("seed", range(4))
def test_what_need_not_have_moved_is_put_back_with_all_its_orders(seed: int) -> None:
    """The load of 10:00 has to move; that of 16:00, which is there sooner than it had to be, has not."""
    tables = [table("A", 3, hour=10), table("B", 4, hour=10), table("C", 3, hour=16), table("D", 2, hour=16)]
    problem = problem_of(book(time(18)), *tables)
    placing = Placing(problem)
    for code, leaves in (("A/buns/1", TEN), ("B/buns/1", TEN), ("C/buns/1", TEN + 360), ("D/buns/1", TEN + 360)):
        assert placing.put(code, leaves // 5, begin=last if leaves == TEN else an_hour_sooner)
    plan = placing.plan()
    early, there = loads(plan)
    assert (takers(early), takers(there)) == (["A", "B"], ["C", "D"])
    whole = replace(problem, orders=(*problem.orders, AT_ONCE))
    found = Rearranging(whole, plan, (), [f"{code}/buns/1" for code in "ABCD"], seed).go_on(50)
    assert found is not None
    assert violations(whole, found) == []
    assert [one.boundaries for one in loads(found) if "C" in takers(one)] == [there.boundaries]
    assert [takers(one) for one in loads(found) if "D" in takers(one)] == [["C", "D"]]


def test_a_load_that_is_sooner_ready_when_it_is_larger_proves_no_no() -> None:
    """A piece alone takes one person 200 minutes, two take two people 100: with another order it would be ready."""

    def made(units: int) -> Making:
        minutes = 200 // units
        return Making((Element("fold", minutes, minutes, (Use("hands", units),)), Element("hold", 0, 600)))

    kitchen = Kitchen(5, DAY, 0, (Resource("hands", 2),), ((0, DAY),))
    folded = Component("product:fold", (SizeOnDemand(1, made), SizeOnDemand(2, made)), apart=600)
    taken = Making((Element("taken", 0, 0, attended=False),), (Need(0, folded.code, 1),))
    one = Order("A", ((150, 150),), (Batch("A/1", taken),))
    problem = Problem(kitchen, (), (folded,))
    assert PromiseCheck(problem, Plan()).check(one, one.windows)[0].verdict != IMPOSSIBLE
    assert PromiseCheck(problem, Plan()).check(one, ((90, 90),))[0].verdict == IMPOSSIBLE


def _mutated(name: str) -> tuple[Problem, Plan, str]:
    """Return a plan of two loads, of orders that leave at 8:00 and at 10:15, with a rule broken on purpose."""
    problem = problem_of(book(time(18)), table("A", 3), table("B", 4, hour=10.25))
    plan = planned(problem)
    first, second = loads(plan)
    others = [one for one in plan.placed if not one.component]
    both = (*first.takings, *second.takings)
    if name == "more than it was made for":
        smaller = Deriving(book(time(18)), {}, lambda code, grams: {}, share=True)
        assert smaller.components([table("A", 3)])[0].sizes[1].most == 2
        return problem, Plan((*others, replace(first, size=1), second)), NEED
    if name == "kept too long for the later order":
        late = replace(first, takings=both, size=6, boundaries=(*first.boundaries[:-1], second.boundaries[-1]))
        return problem, Plan((*others, late)), STAY
    if name == "two loads in one place of the oven":
        return problem, Plan((*others, first, _later(second, first.boundaries[1] - second.boundaries[1]))), TOO_MUCH
    if name == "taken of two loads":
        return problem, Plan((*others, replace(first, takings=both, size=6), second)), NEED
    if name == "made for nobody":
        return problem, Plan((*others, first, replace(second, takings=()))), NEED
    return problem, Plan((*others, replace(first, takings=(Taking("A/buns/1", 0, 2),)), second)), NEED


def _later(one: Placed, minutes: int) -> Placed:
    return replace(one, boundaries=(*(minute + minutes for minute in one.boundaries[:-1]), one.boundaries[-1]))


@each(
    "name",
    [
        "more than it was made for",
        "kept too long for the later order",
        "two loads in one place of the oven",
        "taken of two loads",
        "made for nobody",
        "less than the order has",
    ],
)
def test_both_checkers_notice(name: str) -> None:
    problem, plan, kind = _mutated(name)
    assert kind in {one.kind for one in violations(problem, plan)}
    assert not FastChecker(problem).holds(plan)
