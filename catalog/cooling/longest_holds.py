"""What may be held before it goes into the cold (“Maximum hold”) is judged at its longest: the clock runs meanwhile.

Its windows and times are planned without the hold: that only puts the cold off.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from catalog.cooling.batches import batch_cycles
from catalog.cooling.cycles import cycles_of
from catalog.cooling.missing import HELD, Missing, NotWorkedOut
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import CoolingCycle, is_cold, station_of
from catalog.records.reasons import Reason
from costing.chilling import Mixture, MixtureError, is_unmet, trial
from costing.contract import Book, Product, Recipe, Step


def batch_held(
    recipe: Recipe, kg: Fraction, mixture: Mixture, cycles: Sequence[CoolingCycle], book: Book
) -> Missing | None:
    """Return that a batch that keeps its rule does not where it is held as long as it may be; else None."""
    held, at = _held(recipe.steps, book)
    if at is None:
        return None
    try:
        longest = batch_cycles(replace(recipe, steps=held), kg, mixture, book)
    except NotWorkedOut:
        longest = []
    return _too_long(recipe, held[at], cycles, longest)


def product_held(product: Product, cycles: Sequence[CoolingCycle], mixtures: RecipeMixtures) -> Missing | None:
    """Return the same of a product."""
    held, at = _held(product.steps, mixtures.book)
    if at is None:
        return None
    try:
        longest = cycles_of(replace(product, steps=held), mixtures)
    except (NotWorkedOut, MixtureError):
        longest = []
    return _too_long(product, held[at], cycles, longest)


def _held(steps: Sequence[Step], book: Book) -> tuple[tuple[Step, ...], int | None]:
    """Return the steps with each hold out of the cold as a wait, and the place of the longest; None without any.

    What is held after the last step goes out, and is no cooling.
    """
    found, longest = list(steps), None
    for at, step in enumerate(steps[:-1]):
        hold = step.hold_max or 0
        if hold <= (step.wait_min or 0) or is_cold(step, station_of(step, book)):
            continue
        found[at] = replace(step, wait_min=Fraction(hold))
        longest = at if longest is None or hold > (steps[longest].hold_max or 0) else longest
    return tuple(found), longest


def _too_long(
    made: Recipe | Product, step: Step, cycles: Sequence[CoolingCycle], longest: Sequence[CoolingCycle]
) -> Missing | None:
    if any(_fails(one) for one in cycles) or (longest and not any(_fails(one) for one in longest)):
        return None
    kind = "product" if isinstance(made, Product) else "recipe"
    facts = {kind: made.name, "step": str(step), "minutes": float(step.hold_max or 0)}
    return Missing(Reason(HELD, facts), kind, made.code)


def _fails(cycle: CoolingCycle) -> bool:
    found = trial(cycle.plan)
    return found.never or is_unmet(found.verdict, timed=bool(found.legs))
