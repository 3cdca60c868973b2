"""Rows of steps and hours as what ``costing.timing.schedule`` computes with."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, time, timedelta
from fractions import Fraction
from math import ceil
from typing import Final
from zoneinfo import ZoneInfo

from catalog.cooling.selectors import ColdTime, ProductCold
from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import WAITING, RecipeStep, Step
from costing.contract.book import Book
from costing.contract.estimate import Estimate
from costing.timing.schedule import Step as TimedStep
from costing.timing.schedule import Timing, Work
from costing.timing.spans import WorkingHours, minute_of

#: Work for an order far ahead is looked for in this time before it leaves; no chain of a kitchen takes longer.
BEFORE: Final = timedelta(days=14)
LOOK_AHEAD: Final = 21 * 24 * 60


def working_hours(kitchen: Kitchen) -> WorkingHours | None:
    """Return when somebody works, or None when no hours were entered; two queries."""
    weekly: dict[int, list[tuple[time, time]]] = {}
    for weekday, opens, closes in OpenHours.objects.values_list("weekday", "opens", "closes"):
        weekly.setdefault(weekday, []).append((opens, closes))
    if not weekly:
        return None
    closed = frozenset(ClosedDay.objects.values_list("date", flat=True))
    return WorkingHours({day: tuple(spans) for day, spans in weekly.items()}, ZoneInfo(kitchen.time_zone), closed)


def timing_of(
    book: Book,
    found: Estimate,
    hours: WorkingHours,
    *,
    leaves: datetime,
    now: datetime,
    cold: Mapping[str, ProductCold],
) -> Timing:
    """Return the chains of an order that leaves about ``leaves``, not begun before ``now``; three queries.

    ``cold`` are its products' ``catalog.cooling.selectors.cold_times``: a stay in the cold lasts as long as stated or
    as cooling takes at the slow end of the estimate, whichever is longer. One that never gets cold, or freezes first,
    lasts as stated: to refuse it is for the caller.

    A step of work takes its stated time or its hands' time for the whole amount, whichever is longer, but never more
    than the longest span somebody works: more than that is shared among hands or days. Stations count as free.
    """
    longest = _longest(hours)
    made = {line.product: (Fraction(line.made), line.loads) for line in found.lines}
    kilos = {one.recipe: (one.grams / 1000, one.batches) for one in found.recipes}
    products, recipes = _product_steps(made), _recipe_steps(kilos)
    stays = {stay.step_id: stay for one in cold.values() for stay in one.times}
    works = {}
    for code, (amount, batches) in kilos.items():
        needs = tuple(f"recipe:{line.recipe}" for line in book.recipe(code).lines if line.recipe in kilos)
        steps = tuple(_timed(step, amount, batches, longest) for step in recipes.get(code, ()))
        works[f"recipe:{code}"] = Work(f"recipe:{code}", book.recipe(code).name, steps, tuple(dict.fromkeys(needs)))
    for code, (amount, loads) in made.items():
        needs = tuple(f"recipe:{fill.recipe}" for fill in book.product(code).fill)
        steps = tuple(
            _cooled(_timed(step, amount, loads, longest), stays.get(step.pk)) for step in products.get(code, ())
        )
        works[f"product:{code}"] = Work(f"product:{code}", book.product(code).name, steps, tuple(dict.fromkeys(needs)))
    begins = max(now, leaves - BEFORE)
    return Timing(works, tuple(f"product:{code}" for code in sorted(made)), hours, minute_of(begins), LOOK_AHEAD)


def _longest(hours: WorkingHours) -> int:
    """Return the longest span of the week in which somebody works, in minutes."""
    return max(
        (closes.hour - opens.hour) * 60 + closes.minute - opens.minute
        for spans in hours.weekly.values()
        for opens, closes in spans
    )


def _timed(step: Step, amount: Fraction, times: int, longest: int) -> TimedStep:
    attended = step.kind not in WAITING
    minutes = ceil(Fraction(step.minutes or 0))
    if attended:
        hands = Fraction(step.hands_fixed) * times + Fraction(step.hands_each) * amount
        minutes = min(max(minutes, ceil(hands)), longest)
    return TimedStep(
        name=str(step),
        kind=step.kind,
        elapsed=minutes,
        wait_min=ceil(Fraction(step.wait_min or 0)),
        hold_max=None if step.hold_max is None else int(step.hold_max),
        attended=attended,
    )


def _cooled(step: TimedStep, stay: ColdTime | None) -> TimedStep:
    """Let a stay in the cold last until it is cold, where that is longer than stated."""
    if stay is None or stay.slow is None or stay.slow <= step.elapsed:
        return step
    return replace(step, elapsed=stay.slow, until_c=stay.limit_c)


def _recipe_steps(codes: Iterable[str]) -> Mapping[str, list[Step]]:
    found: dict[str, list[Step]] = {}
    for step in RecipeStep.objects.filter(recipe__code__in=list(codes)).select_related("recipe"):
        found.setdefault(step.recipe.code, []).append(step)
    return found


def _product_steps(codes: Iterable[str]) -> Mapping[str, list[Step]]:
    """Return the steps by product; what a product keeps is the hold of its last step where none is stated."""
    found: dict[str, list[Step]] = {}
    for step in ProductStep.objects.filter(product__code__in=list(codes)).select_related("product"):
        found.setdefault(step.product.code, []).append(step)
    for code, keeps in Product.objects.filter(code__in=list(codes)).values_list("code", "keeps_hours"):
        last = found.get(code, [])[-1:]
        if keeps is not None and last and last[0].hold_max is None:
            last[0].hold_max = keeps * 60
    return found
