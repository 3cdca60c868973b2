"""The chains of an order: a Book's steps for what an Estimate says is made."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from fractions import Fraction

from costing import Brief, BriefLine, estimate
from costing.contract import Book, Estimate, Step, read_whole_book
from costing.contract.kitchen import ClosedDay, OpenHours
from costing.contract.plan_bounds import SAFE_COLD_WAIT_MIN
from costing.timing.chains import CoolingTime, order_timing, working_hours
from costing.timing.schedule import TimedStep, Timing
from costing.timing.spans import WorkingHours
from tests.integration.catalog.book.forms import whole_kitchen

TART = "custard-tart-24"
BOOK = read_whole_book(whole_kitchen())


def priced(book: Book, units: int = 24) -> Estimate:
    return estimate(book, Brief(date(2026, 11, 24), (BriefLine(TART, units),)), warn=False)


def hours_of(book: Book = BOOK) -> WorkingHours:
    hours = working_hours(book)
    assert hours is not None
    return hours


def with_tart(**changes: object) -> Book:
    products = [replace(item, **changes) if item.code == TART else item for item in BOOK.products]  # type: ignore[arg-type]  # any field
    return replace(BOOK, products=tuple(products))


def timing(book: Book, **cooling: CoolingTime) -> Timing:
    by_step = {(TART, int(step.removeprefix("step_"))): time for step, time in cooling.items()}
    return order_timing(book, priced(book), hours_of(), not_before=0, cooling=by_step)


def tart_steps(book: Book = BOOK, **cooling: CoolingTime) -> tuple[TimedStep, ...]:
    return timing(book, **cooling).works[f"product:{TART}"].steps


def test_working_hours_are_those_of_the_book() -> None:
    hours = hours_of()
    assert hours.weekly == {1: ((time(6, 30), time(12)), (time(13), time(17, 30)))}
    assert (str(hours.zone), hours.closed) == ("Europe/Berlin", {date(2027, 1, 1), date(2027, 5, 1)})


def test_a_book_without_hours_says_nothing_of_when_somebody_works() -> None:
    assert working_hours(replace(BOOK, hours=None)) is None
    assert working_hours(replace(BOOK, hours=())) is None
    open_once = replace(BOOK, hours=(OpenHours(0, time(7), time(8)),), closed=(ClosedDay(date(2027, 1, 1)),))
    assert hours_of(open_once).closed == {date(2027, 1, 1)}


def test_every_step_stands_in_its_chain_after_what_it_needs() -> None:
    found = timing(BOOK)
    tart = found.works[f"product:{TART}"]
    assert [step.name for step in tart.steps] == ["fill or assemble", "Bake", "chill", "pack"]
    assert [step.attended for step in tart.steps] == [True, True, False, True]
    assert tart.needs == tuple(dict.fromkeys(f"recipe:{fill.recipe}" for fill in BOOK.product(TART).fill))
    assert found.products == (f"product:{TART}",)
    assert set(found.works) == {f"product:{TART}", *(f"recipe:{one.recipe}" for one in priced(BOOK).recipes)}


def test_cooling_makes_a_step_longer_never_shorter() -> None:
    stated = tart_steps()[2].elapsed
    longer = tart_steps(step_2=CoolingTime(stated + 30, 5.0))[2]
    assert (longer.elapsed, longer.until_c) == (stated + 30, 5.0)
    shorter = tart_steps(step_2=CoolingTime(stated - 30, 5.0))[2]
    assert (shorter.elapsed, shorter.until_c) == (stated, None)


def test_what_a_product_keeps_is_the_hold_of_its_last_step() -> None:
    assert tart_steps()[-1].hold_max == 48 * 60
    own = (*BOOK.product(TART).steps[:-1], Step("pack", hold_max=Fraction("90.7")))
    assert tart_steps(with_tart(steps=own))[-1].hold_max == 90
    assert tart_steps(with_tart(keeps_hours=None))[-1].hold_max is None
    assert tart_steps(with_tart(steps=())) == ()


def test_work_is_never_longer_than_the_longest_time_somebody_is_there() -> None:
    slow = (Step("fill", role="pastry", hands_each=Fraction(60)),)
    (step,) = tart_steps(with_tart(steps=slow))
    made = priced(BOOK).lines[0].made
    assert step.elapsed == 330
    assert step.hands == 60 * made


def test_a_component_of_which_nobody_states_a_hold_lies_as_long_as_a_plan_lets_it() -> None:
    used = [name.removeprefix("recipe:") for name in timing(BOOK).works if name.startswith("recipe:")]
    recipe = next(item for item in BOOK.recipes if item.code in used and item.steps)
    steps = (*recipe.steps[:-1], replace(recipe.steps[-1], hold_max=None))
    recipes = tuple(replace(item, steps=steps) if item is recipe else item for item in BOOK.recipes)
    (*_, last) = timing(replace(BOOK, recipes=recipes)).works[f"recipe:{recipe.code}"].steps
    assert last.hold_max == SAFE_COLD_WAIT_MIN
