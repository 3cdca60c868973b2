"""The checker notices what breaks a plan: changes made on purpose, one rule at a time; the fast one agrees."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from costing.plan.checking import (
    ABSENT,
    FIXED,
    HOURS,
    NEED,
    PAST,
    SHELF_LIFE,
    STAY,
    TEMPERATURE,
    TOO_MUCH,
    WINDOW,
    violations,
)
from costing.plan.fast_checking import FastChecker
from costing.plan.problem import (
    HANDS,
    Batch,
    Component,
    Element,
    Kitchen,
    Level,
    Making,
    Need,
    Order,
    Placed,
    Plan,
    Problem,
    Resource,
    ShelfLife,
    Size,
    Taking,
    Use,
)
from tests.each import each

OPEN, CLOSE = 360, 840
SHIFTS = tuple((day * 1440 + OPEN, day * 1440 + CLOSE) for day in range(3))


def element(name: str, least: int, longest: int = 0, /, temp: float | None = None, **uses: int) -> Element:
    return Element(name, least, longest or least, tuple(Use(code, amount) for code, amount in uses.items()), temp)


KITCHEN = Kitchen(
    5,
    3 * 1440,
    300,
    (
        Resource(HANDS, 2, levels=tuple(Level(begin, end, 2) for begin, end in SHIFTS)),
        Resource("oven", 2, 2, True, 10.0, out=(Level(1440, 2880, 1),)),
        Resource("mold", 4),
        Resource("van", 1, 1, True),
    ),
    SHIFTS,
)
CREAM = Component("cream", (Size(100, Making((element("cook", 30, hands=1), element("hold", 30, 120)))),))
TART = Making(
    (
        element("line", 30, hands=1, mold=3),
        element("bake", 60, temp=170, oven=2, mold=3),
        element("fill", 20, 60, hands=1),
        element("hold", 0, 600),
    ),
    (Need(2, "cream", 60),),
    ShelfLife(1, 120),
)
BREAD = Making(
    (element("bake", 60, temp=200, oven=1), element("drive", 30, hands=1, van=1), element("hand over", 0, 5))
)
PROBLEM = Problem(
    KITCHEN,
    (
        Order("A", ((500, 560),), (Batch("tart", TART),)),
        Order("B", ((480, 600),), (Batch("bread", BREAD, (420, 480, 510, 510), True),)),
    ),
    (CREAM,),
)
ONE = ((0, 0), (0, 0), (0,), ())
PLAN = Plan(
    (
        Placed("tart", (400, 430, 490, 510, 530), ((0, 0), (0, 0), (0,), ())),
        Placed("bread", (420, 480, 510, 510), ((1,), (0, 0), ())),
        Placed("cream~1", (410, 440, 490), ((0,), ()), "cream", 0, (Taking("tart", 0, 60),)),
    )
)


def placed(code: str, **more: object) -> Plan:
    return Plan(tuple(replace(one, **more) if one.code == code else one for one in PLAN.placed))  # type: ignore[arg-type]


def with_making(code: str, change: Callable[[Making], Making]) -> Problem:
    orders = tuple(
        replace(
            order, batches=tuple(replace(b, making=change(b.making)) if b.code == code else b for b in order.batches)
        )
        for order in PROBLEM.orders
    )
    return replace(PROBLEM, orders=orders)


def test_a_sound_plan_breaks_no_rule() -> None:
    assert violations(PROBLEM, PLAN) == []
    assert FastChecker(PROBLEM).holds(PLAN)


def with_hands(problem: Problem, hands: int) -> Problem:
    levels = tuple(Level(begin, end, hands) for begin, end in SHIFTS)
    resources = tuple(replace(one, levels=levels) if one.code == HANDS else one for one in KITCHEN.resources)
    return replace(problem, kitchen=replace(problem.kitchen, resources=resources))


def with_resource(code: str, **more: object) -> Problem:
    resources = tuple(replace(one, **more) if one.code == code else one for one in KITCHEN.resources)  # type: ignore[arg-type]
    return replace(PROBLEM, kitchen=replace(KITCHEN, resources=resources))


def with_a_drive(made: Making) -> Making:
    drive = element("fill", 20, 60, hands=1, van=1)
    return replace(made, elements=(*made.elements[:2], drive, made.elements[3]))


BROKEN: dict[str, tuple[Problem, Plan, str]] = {
    "a step at night": (
        replace(PROBLEM, orders=(replace(PROBLEM.orders[0], windows=((330, 460),)), PROBLEM.orders[1])),
        Plan(
            (
                Placed("tart", (300, 330, 390, 410, 430), ONE),
                PLAN.placed[1],
                replace(PLAN.placed[2], boundaries=(310, 340, 390)),
            )
        ),
        HOURS,
    ),
    "molds that are not back": (with_resource("mold", places=2), PLAN, TOO_MUCH),
    "an oven at two temperatures": (PROBLEM, placed("bread", units=((0,), (0, 0), ())), TEMPERATURE),
    "an oven that is out of order": (with_resource("oven", out=(Level(0, 1440, 1),)), PLAN, TOO_MUCH),
    "a component past its hold": (PROBLEM, placed("cream~1", boundaries=(310, 340, 490)), STAY),
    "a component that is not ready": (PROBLEM, placed("cream~1", boundaries=(440, 470, 500)), NEED),
    "more of a component than a batch gives": (
        replace(PROBLEM, components=(replace(CREAM, sizes=(replace(CREAM.sizes[0], most=50),)),)),
        PLAN,
        NEED,
    ),
    "a component nobody made": (PROBLEM, Plan(PLAN.placed[:2]), NEED),
    "a crew that drives and bakes": (with_hands(PROBLEM, 1), PLAN, TOO_MUCH),
    "two drives with one van": (
        with_making("tart", with_a_drive),
        placed("tart", units=((0, 0), (0, 0), (0, 0), ())),
        TOO_MUCH,
    ),
    "a stay that is too short": (PROBLEM, placed("tart", boundaries=(400, 430, 490, 505, 530)), STAY),
    "leaving outside its window": (PROBLEM, placed("tart", boundaries=(400, 430, 490, 510, 565)), WINDOW),
    "not fresh": (
        with_making("tart", lambda made: replace(made, shelf_life=ShelfLife(1, 30))),
        PLAN,
        SHELF_LIFE,
    ),
    "what is fixed elsewhere": (PROBLEM, placed("bread", boundaries=(425, 485, 515, 515)), FIXED),
    "before now": (replace(PROBLEM, kitchen=replace(KITCHEN, now=405)), PLAN, PAST),
    "not planned": (PROBLEM, Plan(PLAN.placed[1:2]), ABSENT),
}


@each("name", BROKEN)
def test_the_checkers_notice(name: str) -> None:
    problem, plan, kind = BROKEN[name]
    assert kind in {found.kind for found in violations(problem, plan)}
    assert not FastChecker(problem).holds(plan)


def test_two_batches_of_an_order_leave_together() -> None:
    second = Batch("more bread", BREAD)
    orders = (PROBLEM.orders[0], replace(PROBLEM.orders[1], batches=(*PROBLEM.orders[1].batches, second)))
    problem = replace(PROBLEM, orders=orders)
    apart = Plan((*PLAN.placed, Placed("more bread", (485, 545, 575, 575), ((1,), (0, 0), ()))))
    assert [found.kind for found in violations(problem, apart)] == [WINDOW]
    assert not FastChecker(problem).holds(apart)


def test_an_empty_plan_holds_for_no_order() -> None:
    assert FastChecker(PROBLEM).holds(Plan(), ())
