"""Loads of one product beside each other, and components that steps take late."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from costing.contract import Step
from costing.plan.deriving import Table
from costing.plan.problem import Plan
from costing.plan.promises import Limits, PromiseCheck
from costing.plan.verdicts import AS_PLANNED, IMPOSSIBLE, UNDECIDED
from tests.unit.costing.plan.test_deriving import (
    CAKE,
    COLD,
    CREAM,
    DAY,
    OVEN,
    RINGS,
    asked,
    book_of,
    planned,
    problem_of,
)


def test_no_no_rests_on_loads_that_could_be_made_as_one() -> None:
    """Five orders of one cake each take one load; a sum of five loads in one oven proves nothing."""
    bake = Step("bake", "Bake", station="oven", minutes=Fraction(60), temperature_c=Fraction(170))
    cake = replace(CAKE, mold=None, fill=(), load=5, keeps_hours=Fraction(1), steps=(bake,))
    book = book_of(cake, stations=(replace(OVEN, places=1),), molds=())
    leaves = 4 * DAY + 12 * 60

    def answered(units: int, orders: int) -> str:
        tables = [Table(f"O{number}", {"cake": units}, ((leaves, leaves),)) for number in range(orders)]
        problem = problem_of(book, *tables)
        asked = problem_of(book, Table("?", {"cake": units}, ((leaves, leaves),))).orders[0]
        return PromiseCheck(problem, Plan()).check(asked, asked.windows, Limits(tries=0))[0].verdict

    assert answered(1, 5) == UNDECIDED
    assert answered(5, 5) == IMPOSSIBLE


def test_eleven_loads_in_one_oven_are_eleven_and_not_one() -> None:
    """Seen: eleven loads of tartlets in the oven counted as one, an hour before they leave."""
    bake = Step("bake", "Bake", station="oven", minutes=Fraction(60), temperature_c=Fraction(170))
    tartlets = replace(CAKE, mold=None, fill=(), load=24, keeps_hours=Fraction(6), steps=(bake,))
    book = book_of(tartlets, stations=(replace(OVEN, places=1),), molds=())
    assert asked(book, 24, day=4) == AS_PLANNED
    assert asked(book, 6 * 24, day=4) == AS_PLANNED
    # Six hours in which they keep, and an oven for one load: the other five have no place.
    assert asked(book, 11 * 24, day=4) != AS_PLANNED


def test_a_component_is_there_for_the_step_that_takes_it_not_for_the_first() -> None:
    """Seen: whichever step took it, it had to be ready before the product's first, and grew old by then."""
    glazed = replace(CAKE, steps=(*CAKE.steps[:2], replace(CAKE.steps[2], takes=("cream",))))
    leaves = 5 * DAY + 16 * 60
    table = Table("A", {"cake": 4}, ((leaves, leaves),))
    problem = problem_of(book_of(glazed, CREAM, stations=(COLD,), molds=(RINGS,)), table)
    making = problem.orders[0].batches[0].making
    (need,) = making.needs
    assert making.elements[need.element].name == "product:cake/2"
    unplaced, plan = planned(problem)
    assert not unplaced
    (cream,) = (one for one in plan.placed if one.component)
    cake = next(one for one in plan.placed if not one.component)
    # It keeps for half an hour, and the cakes set overnight before they are glazed.
    assert cake.boundaries[0] + 720 < cream.boundaries[0]
    assert cream.boundaries[-1] == cake.boundaries[need.element]
