"""A step's minutes of hands are the same in paid labor, on the kitchen's sheets, and in the timing of the order."""

from dataclasses import replace
from datetime import date, time
from fractions import Fraction
from random import Random
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from costing import Brief, BriefLine, Estimate, estimate
from costing.contract import Book, Step, read_book
from costing.contract.steps import KINDS
from costing.requirements.compiled_book import compile_book
from costing.requirements.workings import ExactWorkings
from costing.timing.chains import order_timing
from costing.timing.schedule import Timing
from costing.timing.spans import WorkingHours
from orders.production.demand import Demand
from orders.production.tasks import Task, tasks, to_prepare
from tests.contract.kitchens import any_book

DAY = date(2026, 11, 24)
HOURS = WorkingHours({day: ((time(7), time(17)),) for day in range(7)}, ZoneInfo("Europe/Vienna"))
#: Estimates give figures that are right to forty decimals; the timing is made from one.
ALIKE = Fraction(1, 10**30)


def any_step(rng: Random) -> Step:
    """Make up a step: hands have somebody who is paid for them, as the forms ask."""
    role = rng.choice(("pastry", "helper", None))
    hands = [Fraction(rng.choice(("0", "4", "7.5", "0.35", "18"))) if role else Fraction(0) for _ in range(2)]
    return Step(
        kind=rng.choice(list(KINDS)),
        role=role,
        hands_fixed=hands[0],
        hands_each=hands[1],
        station=rng.choice(("oven", None)),
        minutes=rng.choice((None, Fraction(30), Fraction("85.5"))),
        wait_min=rng.choice((None, Fraction(60))),
    )


def any_kitchen(seed: int) -> tuple[Book, Brief]:
    """Make up a kitchen with steps, and an order of all it sells."""
    rng = Random(seed)
    book = read_book(any_book(seed))
    book = replace(
        book,
        recipes=tuple(
            replace(recipe, steps=tuple(any_step(rng) for _ in range(rng.randint(0, 4)))) for recipe in book.recipes
        ),
        products=tuple(
            replace(product, steps=tuple(any_step(rng) for _ in range(rng.randint(0, 4)))) for product in book.products
        ),
    )
    lines = tuple(BriefLine(item.code, item.sale_multiple * rng.randint(1, 40)) for item in book.products)
    return book, Brief(DAY, lines)


def demand_of(book: Book, brief: Brief) -> Demand:
    compiled = compile_book(book)
    units = {line.product: line.units for line in sorted(brief.lines, key=lambda line: line.product)}
    asked = tuple(compiled.line_demand(compiled.product_at[code], count) for code, count in units.items())
    return Demand(DAY, DAY, [], book, compiled, ExactWorkings(compiled, compiled.exact, asked, DAY), units, [])


def on_sheets(steps: list[Task], kind: str) -> dict[str, Fraction]:
    """Add up the minutes of hands by recipe or product."""
    found: dict[str, Fraction] = {}
    for task in steps:
        if type(task.of).__name__ == kind:
            found[task.of.code] = found.get(task.of.code, Fraction(0)) + task.minutes
    return found


def paid(found: Demand) -> Fraction:
    """Return the paid minutes of labor, exactly: of every recipe once, and of the products' own steps."""
    workings = found.workings
    recipes = sum((batch.minutes for batch in workings.batches.values()), Fraction(0))
    return recipes + sum(
        (
            row.minutes_load * line.loads + row.minutes_unit * line.made
            for line in workings.lines
            for row in (workings.tables.products[line.product],)
        ),
        Fraction(0),
    )


@given(st.integers(0, 10**9))
def test_what_is_paid_for_is_on_the_sheets_to_the_last_fraction(seed: int) -> None:
    found = demand_of(*any_kitchen(seed))
    steps = tasks(found)
    recipes = on_sheets(steps, "Recipe")
    for at, batch in found.workings.batches.items():
        assert recipes.get(found.compiled.recipes[at].code, Fraction(0)) == batch.minutes
    assert sum((task.minutes for task in steps), Fraction(0)) == paid(found)
    assert paid(found) == sum((cost.minutes for cost in found.workings.line_costs), Fraction(0))


@given(st.integers(0, 10**9))
def test_the_prep_list_has_all_hands_that_are_paid_for(seed: int) -> None:
    found = demand_of(*any_kitchen(seed))
    listed = to_prepare(tasks(found))
    assert sum((task.minutes for task in listed), Fraction(0)) == paid(found)
    assert all(task.minutes > 0 for task in listed)


@given(st.integers(0, 10**9))
def test_what_is_paid_for_is_in_the_steps_of_the_timing(seed: int) -> None:
    book, brief = any_kitchen(seed)
    priced = estimate(book, brief, warn=False)
    timing = order_timing(book, priced, HOURS, not_before=0, cooling={})
    for one in priced.recipes:
        assert abs(hands_in(timing, f"recipe:{one.recipe}") - one.labor_minutes) < ALIKE
    found = demand_of(book, brief)
    products = on_sheets(tasks(found), "Product")
    assert {code: hands_in(timing, f"product:{code}") for code in products} == products
    whole = sum((hands_in(timing, code) for code in timing.works), Fraction(0))
    assert abs(whole - labor_of(priced)) < ALIKE


def hands_in(timing: Timing, work: str) -> Fraction:
    return sum((step.hands for step in timing.works[work].steps), Fraction(0))


def labor_of(priced: Estimate) -> Fraction:
    return sum((line.labor_minutes for line in priced.lines), Fraction(0))
