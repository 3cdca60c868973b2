"""What is hot goes on at once: by default it stands nowhere before it is in the cold."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from costing import Brief, BriefLine, estimate
from costing.contract import Book, Step, read_whole_book
from costing.contract.plan_bounds import SAFE_COLD_WAIT_MIN, SAFE_WARM_WAIT_MIN
from costing.contract.steps import goes_on_at_once
from costing.plan.makings import Amount, Makings
from costing.timing.chains import order_timing, working_hours
from costing.timing.schedule import DAY, Timing
from tests.integration.catalog.book.forms import whole_kitchen

TART = "custard-tart-24"
BOOK = read_whole_book(whole_kitchen())
HOT = Fraction(80)
#: Made in the working day; nobody is there when the cold has to begin for a departure in the morning.
BAKE = Step("bake", name="Bake", hands_fixed=Fraction(10), minutes=Fraction(30), leaves_c=HOT)
CHILL = Step("chill", minutes=Fraction(240))


def with_steps(*steps: Step, shelf_stable: bool = False) -> Book:
    products = [replace(item, steps=steps) if item.code == TART else item for item in BOOK.products]
    recipes = [replace(item, shelf_stable=shelf_stable or item.shelf_stable) for item in BOOK.recipes]
    return replace(BOOK, products=tuple(products), recipes=tuple(recipes))


def timed(book: Book) -> Timing:
    hours = working_hours(book)
    assert hours is not None
    found = estimate(book, Brief(date(2026, 11, 24), (BriefLine(TART, 24),)), warn=False)
    return order_timing(book, found, hours, not_before=0, cooling={})


def test_a_plan_lets_nothing_hot_stand_before_its_stay_in_the_cold() -> None:
    found = timed(with_steps(BAKE, CHILL, Step("pack", hands_fixed=Fraction(5))))
    late = max(begin for begin, _ in found.departures().spans if begin < 14 * DAY)
    bake, chill = (one for one in found.schedule(late) if one.work == f"product:{TART}" and one.step.name != "pack")
    assert (bake.step.name, chill.step.kind) == ("Bake", "chill")
    assert chill.start == bake.end


@pytest.mark.parametrize(
    ("steps", "at_once"),
    [
        ((BAKE, CHILL), (True, False)),
        ((BAKE, Step("rest", minutes=Fraction(60)), Step("fill"), CHILL), (True, True, True, False)),
        ((BAKE, Step("rest", minutes=Fraction(600)), Step("finish")), (True, False, False)),
        ((BAKE, CHILL, Step("finish"), Step("pack")), (True, False, False, False)),
        ((replace(BAKE, hold_max=Fraction(20)), CHILL), (False, False)),
        ((replace(BAKE, leaves_c=Fraction(30)), CHILL), (False, False)),
        ((replace(BAKE, ice_bath=True), Step("fill")), (False, False)),
        ((replace(BAKE, ice_bath=True), CHILL), (True, False)),
        ((Step("mix"), CHILL), (False, False)),
    ],
)
def test_what_follows_something_hot_begins_at_once(steps: tuple[Step, ...], at_once: tuple[bool, ...]) -> None:
    assert goes_on_at_once(steps) == at_once


@pytest.mark.parametrize("safe", [False, True])
@pytest.mark.parametrize("lax", [False, True])
def test_the_kitchens_plan_has_no_wait_after_it_either(safe: bool, lax: bool) -> None:
    book = with_steps(BAKE, CHILL, shelf_stable=safe)
    made = Makings(book, 1, lax=lax).of_product(book.product(TART), Amount(Fraction(24)), {}, ())
    waits = [each for each in made.elements if each.name.endswith("/0") and each.longest > each.least + 15]
    assert bool(waits) == safe


def test_what_is_entered_as_safe_at_room_temperature_may_wait() -> None:
    found = timed(with_steps(BAKE, CHILL, shelf_stable=True))
    assert found.works[f"product:{TART}"].steps[0].hold_max is None


@pytest.mark.parametrize(
    ("last", "most"),
    [(BAKE, SAFE_WARM_WAIT_MIN), (replace(BAKE, ice_bath=True), SAFE_COLD_WAIT_MIN), (CHILL, SAFE_COLD_WAIT_MIN)],
)
def test_a_recipe_that_ends_hot_is_used_within_the_hour(last: Step, most: int) -> None:
    code = timed(BOOK).works[f"product:{TART}"].needs[0].removeprefix("recipe:")
    recipes = [replace(each, steps=(last,), shelf_stable=False) if each.code == code else each for each in BOOK.recipes]
    found = timed(replace(BOOK, recipes=tuple(recipes)))
    assert found.works[f"recipe:{code}"].steps[-1].hold_max == most
