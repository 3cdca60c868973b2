"""What is delivered takes a vehicle and people from when it leaves until they are back."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

import pytest

from costing.contract import Book
from costing.contract.kitchen import OpenHours, Vehicle
from costing.plan.book_kitchen import days_of, kitchen_of
from costing.plan.checking import TOO_MUCH, WINDOW, violations
from costing.plan.deriving import Deriving, Table, Trip
from costing.plan.fast_checking import FastChecker
from costing.plan.problem import HANDS, VEHICLE, Batch, Element, Order, Placed, Plan, Problem, Use
from costing.plan.promises import PromiseCheck
from costing.plan.verdicts import AS_PLANNED, IMPOSSIBLE, Answer
from tests.unit.costing.plan.test_deriving import CAKE, COLD, CREAM, DAY, MONDAY, RINGS, book_of, planned, problem_of

VAN, COLD_VAN = Vehicle("Van"), Vehicle("Cold van", cold=True)
LEAVES = 4 * DAY + 14 * 60
SMALL = {"cake": 2}


def kitchen(*vehicles: Vehicle, hands: int = 1, closes: int = 18) -> Book:
    hours = tuple(OpenHours(day, time(6), time(closes), hands) for day in range(7))
    rings = replace(RINGS, owned=40)
    return replace(book_of(CAKE, CREAM, stations=(COLD,), molds=(rings,)), vehicles=vehicles, hours=hours)


def delivered(code: str, leaves: int = LEAVES, minutes: int = 90, people: int = 1, *, cold: bool = False) -> Table:
    return Table(code, SMALL, ((leaves, leaves),), Trip(minutes, people, cold))


def asked(book: Book, table: Table, *before: Table, lax: bool = False) -> Answer:
    """Return the answer about one more table beside others."""
    problem = problem_of(book, *before, table)
    others = replace(problem, orders=problem.orders[:-1])
    unplaced, plan = planned(others)
    assert not unplaced
    if lax:
        deriving = Deriving(book, {}, lambda code, grams: {}, lax=True)
        found = kitchen_of(book, days_of(book, MONDAY, 14), 0, lax=True)
        others = Problem(found, tuple(map(deriving.order, before)), deriving.components((*before, table)))
        order = deriving.order(table)
        return PromiseCheck(others, plan).check(order, order.windows)[0]
    order = Deriving(book, {}, lambda code, grams: {}).order(table)
    return PromiseCheck(others, plan).check(order, order.windows)[0]


def test_two_deliveries_at_once_take_two_vehicles() -> None:
    first, second = delivered("A"), delivered("B", LEAVES + 60)
    found = asked(kitchen(VAN, hands=9), second, first)
    assert found.verdict == IMPOSSIBLE
    assert [(one.cause, one.needed, one.free) for one in found.reasons] == [(VEHICLE, 1, 0)]
    assert (found.reasons[0].begin, found.reasons[0].end) == (LEAVES, LEAVES + 90)
    assert asked(kitchen(VAN, VAN, hands=9), second, first).verdict == AS_PLANNED
    assert asked(kitchen(VAN, hands=9), delivered("B", LEAVES + 90), first).verdict == AS_PLANNED
    assert asked(kitchen(VAN, hands=9), replace(second, trip=None), first).verdict == AS_PLANNED


def test_who_drives_is_no_hand_in_the_kitchen() -> None:
    """The last work on a table of two cakes cannot be earlier than it keeps; its only pair of hands is away then."""
    fresh = replace(CAKE, keeps_hours=CAKE.keeps_hours and CAKE.keeps_hours / 48)
    book = replace(kitchen(VAN, VAN), products=(fresh,))
    away = delivered("A", LEAVES, 8 * 60)
    later = Table("B", SMALL, ((LEAVES + 180, LEAVES + 180),))
    assert asked(book, later, away).verdict != AS_PLANNED
    assert asked(book, later, replace(away, trip=Trip(30, 1))).verdict == AS_PLANNED
    two = replace(book, hours=tuple(replace(one, hands=2) for one in book.hours or ()))
    assert asked(two, later, away).verdict == AS_PLANNED


def test_a_drive_after_closing_is_missing_nowhere() -> None:
    evening = delivered("A", 4 * DAY + 17 * 60 + 30, 240)
    assert asked(kitchen(VAN), evening).verdict == AS_PLANNED
    before_closing = delivered("A", 4 * DAY + 17 * 60 + 30, 240, 2)
    found = asked(kitchen(VAN), before_closing)
    assert found.verdict == IMPOSSIBLE
    assert [(one.cause, one.needed, one.begin % DAY, one.end % DAY) for one in found.reasons] == [
        (HANDS, 2, 6 * 60, 18 * 60)
    ]
    assert asked(kitchen(VAN, closes=17), replace(before_closing, windows=evening.windows)).verdict == AS_PLANNED


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [(True, True, IMPOSSIBLE), (True, False, AS_PLANNED), (False, True, AS_PLANNED), (False, False, AS_PLANNED)],
)
def test_what_has_to_stay_cold_takes_a_refrigerated_vehicle(first: bool, second: bool, verdict: str) -> None:
    book = kitchen(COLD_VAN, VAN, hands=9)
    assert asked(book, delivered("B", cold=second), delivered("A", cold=first)).verdict == verdict


def test_without_any_refrigerated_vehicle_the_way_is_time_out_of_the_cold() -> None:
    """That has a limit of its own, judged where the quote is."""
    assert asked(kitchen(VAN, hands=9), delivered("A", cold=True)).verdict == AS_PLANNED


def test_one_vehicle_counts_where_none_is_stated_and_proves_no_no() -> None:
    first, second = delivered("A"), delivered("B")
    assert asked(kitchen(hands=9), first).verdict == AS_PLANNED
    assert asked(kitchen(hands=9), second, first).verdict == IMPOSSIBLE
    assert asked(kitchen(hands=9), second, first, lax=True).verdict == AS_PLANNED


def test_a_way_of_another_that_nobody_entered_proves_no_no_either() -> None:
    first = replace(delivered("A", LEAVES - 45), trip=Trip(90, 1, unstated=60))
    assert asked(kitchen(VAN, hands=9), delivered("B"), first).verdict == IMPOSSIBLE
    assert asked(kitchen(VAN, hands=9), delivered("B"), first, lax=True).verdict != IMPOSSIBLE


def test_a_way_that_nobody_entered_proves_no_no() -> None:
    first = delivered("A", LEAVES + 45)
    second = replace(delivered("B"), trip=Trip(90, 1, unstated=60))
    assert asked(kitchen(VAN, hands=9), second, first).verdict == IMPOSSIBLE
    assert asked(kitchen(VAN, hands=9), second, first, lax=True).verdict == AS_PLANNED


def _wrong(problem: Problem, plan: Plan) -> set[str]:
    found = {one.kind for one in violations(problem, plan)}
    assert FastChecker(problem).holds(plan) is not bool(found)
    return found


def test_the_checkers_notice_what_a_drive_breaks() -> None:
    uses = (Use(VEHICLE, 1), Use(HANDS, 1, while_there=True))
    problem = problem_of(kitchen(VAN, VAN), delivered("A"), delivered("B", LEAVES + 90))
    unplaced, plan = planned(problem)
    assert not unplaced
    assert _wrong(problem, plan) == set()
    drive, other = plan.by_code()["A/drive"], plan.by_code()["B/drive"]
    assert drive.boundaries == (LEAVES, LEAVES + 90)
    assert _wrong(problem, _with(plan, replace(drive, boundaries=(LEAVES + 5, LEAVES + 95)))) >= {WINDOW}
    # A crew that drives and works: somebody is needed at the drive's time as well.
    at_work = Element("work", 60, 60, (Use(HANDS, 1),))
    batch = Batch("C/1", replace(problem.orders[0].batches[0].making, elements=(at_work,)))
    more = replace(problem, orders=(*problem.orders, Order("C", ((LEAVES + 60, LEAVES + 60),), (batch,))))
    working = Placed("C/1", (LEAVES, LEAVES + 60), ((0,),))
    assert _wrong(more, Plan((*plan.placed, working))) == {TOO_MUCH}
    # Two drives in one vehicle; and one in a van that will not do.
    early = _at(problem, "B", LEAVES)
    assert TOO_MUCH in _wrong(early, _with(plan, replace(other, boundaries=drive.boundaries, units=drive.units)))
    cold = Element("drive/cold", 90, 90, (replace(uses[0], among=1), uses[1]), attended=False)
    wanted = _made(problem, "A/drive", cold)
    plain = replace(drive, units=((0, 0),))
    assert TOO_MUCH in _wrong(wanted, _with(plan, plain))
    assert _wrong(wanted, _with(plan, replace(drive, units=((1, 0),)))) == set()


def _with(plan: Plan, place: Placed) -> Plan:
    return Plan(tuple(place if one.code == place.code else one for one in plan.placed))


def _at(problem: Problem, code: str, leaves: int) -> Problem:
    orders = (replace(one, windows=((leaves, leaves),)) if one.code == code else one for one in problem.orders)
    return replace(problem, orders=tuple(orders))


def _made(problem: Problem, code: str, element: Element) -> Problem:
    orders = tuple(
        replace(
            one,
            batches=tuple(
                replace(each, making=replace(each.making, elements=(element,))) if each.code == code else each
                for each in one.batches
            ),
        )
        for one in problem.orders
    )
    return replace(problem, orders=orders)
