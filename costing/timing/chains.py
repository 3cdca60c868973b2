"""The chains of steps of an order: a Book's steps for the amounts that an Estimate says are made.

Stations count as free here; whether they are free is for the plan to say.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, time
from fractions import Fraction
from math import ceil
from zoneinfo import ZoneInfo

from costing.contract import Book, Estimate, Product, Recipe
from costing.contract.kitchen import HandOverHours, OpenHours
from costing.contract.plan_bounds import SAFE_COLD_WAIT_MIN, SAFE_WARM_WAIT_MIN
from costing.contract.steps import Step, goes_on_at_once
from costing.timing.schedule import LOOK_AHEAD, TimedStep, Timing, Work
from costing.timing.spans import WorkingHours
from costing.timing.steps import hands_minutes, whole_clock_minutes

HOUR = 60


@dataclass(frozen=True, slots=True)
class CoolingTime:
    """The minutes a step in the cold lasts at the slow end of an estimate, and the temperature then reached [°C]."""

    minutes: int
    until_c: float


Cooling = Mapping[tuple[str, int], CoolingTime]
"""Code of a product, or `recipe:CODE`, and place of one of its steps, from 0 -> how long cooling makes that step."""


def working_hours(book: Book) -> WorkingHours | None:
    """Return the working hours; None where the Book has no hours.

    Parameters
    ----------
    book : Book
        Any Book.
    """
    return _hours(book, book.hours)


def hand_over_hours(book: Book) -> WorkingHours | None:
    """Return when things may be picked up or leave; None where the Book does not say.

    On a date with hours of its own these count here too, and on a closed one nothing is handed over: somebody has to be
    there.

    Parameters
    ----------
    book : Book
        Any Book.
    """
    return _hours(book, book.hand_over_hours)


def _hours(book: Book, week: Iterable[OpenHours | HandOverHours] | None) -> WorkingHours | None:
    weekly: dict[int, list[tuple[time, time]]] = defaultdict(list)
    for hours in week or ():
        weekly[hours.weekday].append((hours.opens, hours.closes))
    if not weekly:
        return None
    dated: dict[date, list[tuple[time, time]]] = defaultdict(list)
    for own in book.days or ():
        dated[own.date].append((own.opens, own.closes))
    return WorkingHours(
        {day: tuple(spans) for day, spans in sorted(weekly.items())},
        ZoneInfo(book.kitchen.described.time_zone),
        frozenset(closed.date for closed in book.closed or ()),
        {day: tuple(spans) for day, spans in sorted(dated.items())},
    )


def order_timing(
    book: Book,
    estimate: Estimate,
    hours: WorkingHours,
    *,
    not_before: int,
    cooling: Cooling,
    look_ahead: int = LOOK_AHEAD,
) -> Timing:
    """Return the timing of an order.

    A step lasts as long as `costing.timing.steps` computes for the whole amount, or as long as cooling takes where that
    is longer. A product's keeping time is the longest hold of its last step, where that step states none.

    Parameters
    ----------
    book : Book
        A sound Book.
    estimate : Estimate
        Made with this Book: how much is made of what.
    hours : WorkingHours
        When somebody works.
    not_before : int
        No step starts before this minute.
    cooling : mapping of (str, int) to CoolingTime
        Steps in the cold for which cooling was computed.
    look_ahead : int, optional
        How far after `not_before` a schedule is searched for [min].

    Returns
    -------
    Timing
        Its works are `recipe:CODE` and `product:CODE`.
    """
    longest = longest_span(hours)
    made = {recipe.recipe for recipe in estimate.recipes}
    works: dict[str, Work] = {}
    for one in estimate.recipes:
        recipe = book.recipe(one.recipe)
        timed = _chain(recipe, recipe.shelf_stable, one.batches, one.grams / 1000, longest)
        cooled = [_cooled(step, cooling.get((f"recipe:{recipe.code}", at))) for at, step in enumerate(timed)]
        # Nobody said that it may lie longer: as a plan has it in the cold, or what is used warm out of it.
        steps = _held_as_long_as_it_keeps(cooled, SAFE_WARM_WAIT_MIN if ends_hot(recipe) else SAFE_COLD_WAIT_MIN)
        needs = _needs(line.recipe for line in recipe.lines if line.recipe in made)
        works[f"recipe:{recipe.code}"] = Work(f"recipe:{recipe.code}", recipe.name, steps, needs)
    for line in estimate.lines:
        product = book.product(line.product)
        timed = _chain(product, fill_is_shelf_stable(product, book), line.loads, Fraction(line.made), longest)
        cooled = [_cooled(step, cooling.get((product.code, at))) for at, step in enumerate(timed)]
        keeps = product.keeps_hours
        steps = _held_as_long_as_it_keeps(cooled, None if keeps is None else int(keeps * HOUR))
        needs = _needs(fill.recipe for fill in product.fill)
        works[f"product:{product.code}"] = Work(f"product:{product.code}", product.name, steps, needs)
    products = tuple(f"product:{code}" for code in sorted(line.product for line in estimate.lines))
    return Timing(works, products, hours, not_before, look_ahead)


def _needs(recipes: Iterable[str | None]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(f"recipe:{code}" for code in recipes))


def longest_span(hours: WorkingHours) -> int:
    """Return the longest span of the week in which somebody works [min].

    Parameters
    ----------
    hours : WorkingHours
        When somebody works; with at least one span.
    """
    return max(
        (closes.hour - opens.hour) * HOUR + closes.minute - opens.minute
        for spans in hours.weekly.values()
        for opens, closes in spans
    )


def fill_is_shelf_stable(product: Product, book: Book) -> bool:
    """Return whether all that a product is filled with is safe at room temperature by what was entered.

    Parameters
    ----------
    product : Product
        Of the Book.
    book : Book
        With its recipes.
    """
    return bool(product.fill) and all(book.recipe(fill.recipe).shelf_stable for fill in product.fill)


def ends_hot(recipe: Recipe) -> bool:
    """Return whether a recipe's last step states that it leaves hot, and nothing cools it or makes it safe warm.

    Parameters
    ----------
    recipe : Recipe
        Any recipe.
    """
    last = recipe.steps[-1] if recipe.steps else None
    stated = last is not None and last.leaves_c is not None and last.leaves_hot
    return stated and last is not None and not last.ice_bath and not recipe.shelf_stable


def _chain(made: Recipe | Product, safe: bool, times: int, amount: Fraction, longest: int) -> list[TimedStep]:
    timed = [_timed(step, times, amount, longest) for step in made.steps]
    at_once = goes_on_at_once(made.steps)
    return [replace(each, hold_max=0) if now and not safe else each for each, now in zip(timed, at_once, strict=True)]


def _timed(step: Step, times: int, amount: Fraction, longest: int) -> TimedStep:
    return TimedStep(
        name=str(step),
        kind=step.kind,
        elapsed=whole_clock_minutes(step, times, amount, longest),
        hands=hands_minutes(step, times, amount),
        wait_min=ceil(step.wait_min or 0),
        hold_max=None if step.hold_max is None else int(step.hold_max),
        attended=not step.waits,
    )


def _cooled(step: TimedStep, cooling: CoolingTime | None) -> TimedStep:
    """Lengthen a step in the cold until the food is cold, where that takes longer than stated."""
    if cooling is None or cooling.minutes <= step.elapsed:
        return step
    return replace(step, elapsed=cooling.minutes, until_c=cooling.until_c)


def _held_as_long_as_it_keeps(steps: list[TimedStep], keeps_min: int | None) -> tuple[TimedStep, ...]:
    if steps and keeps_min is not None and steps[-1].hold_max is None:
        steps[-1] = replace(steps[-1], hold_max=keeps_min)
    return tuple(steps)
