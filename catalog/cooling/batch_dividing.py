"""How a batch that breaks its rule has to be divided to keep it: into more batches, or over more of its vessels."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import Final

from catalog.book.known import KnownByBook
from catalog.cooling.batches import batch_cycles, batches_of
from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import CoolingCycle
from costing.chilling import MixtureError, trial
from costing.chilling.remedies import SMALLEST_MM
from costing.contract import Book, Recipe

#: Into how many batches, or over how many vessels, it is divided at most; own choice.
MOST = 12
#: In how long the last of them is cold at most [min]: what takes more than a day is no way of dividing it; own choice.
_DAY_MIN: Final = 1440.0


@dataclass(frozen=True, slots=True)
class Dividing:
    """The fewest batches that keep the rule, and the fewest vessels of those that are owned; None where none do.

    Batches keep it in a day, and before the first of them is older than it may be held.

    They keep it at the slow end of the estimate too. ``minutes`` is how long it takes until the last of these batches
    is cold, at the slow end, where each waits until the vessels of one before it are free [min].
    """

    batches: int | None = None
    minutes: float = 0.0
    vessels: int | None = None
    vessel: str = ""
    #: How long it takes in these vessels until it is cold, at the slow end [min].
    vessels_min: float = 0.0

    def within(self, minutes: float) -> "Dividing":
        """Return the ways that leave it cold in so many minutes: what takes longer is none [min]."""
        batches, vessels = self.batches, self.vessels
        return replace(
            self,
            batches=batches if self.minutes <= minutes else None,
            vessels=vessels if self.vessels_min <= minutes else None,
        )


#: Remarks on a batch in its vessels with which nobody can make it so.
_ODD: Final = frozenset({"more_than_owned", "brimful"})
_KNOWN: KnownByBook[tuple[str, Fraction], Dividing] = KnownByBook(most=500)


def dividing(code: str, grams: Fraction, book: Book) -> Dividing:
    """Return how an amount of a recipe has to be divided to keep its rule; worked out once for a Book."""
    known = _KNOWN.of(book)
    found = known.get((code, grams))
    if found is None:
        found = known[code, grams] = _dividing(book.recipe(code), grams, RecipeMixtures(book))
    return found


def _dividing(recipe: Recipe, grams: Fraction, mixtures: RecipeMixtures) -> Dividing:
    book, now = mixtures.book, batches_of(recipe, grams, mixtures.book)
    kg = grams / 1000
    batches = _first(range(now.count + 1, MOST + 1), lambda count: _keeps(recipe, kg / count, mixtures))
    minutes = 0.0 if batches is None else _in_turn(recipe, kg / batches, batches, mixtures)
    if minutes > _longest(recipe):
        batches, minutes = None, 0.0
    names = {step.vessel for step in recipe.steps if step.vessel is not None}
    owned = book.vessel(next(iter(names))).owned if len(names) == 1 else None
    if owned is None:
        return Dividing(batches, minutes)
    (name,) = names
    vessels = _first(range(2, min(owned, MOST) + 1), lambda count: _keeps(_over(recipe, count), now.each_kg, mixtures))
    each = 0.0 if vessels is None else _in_turn(_over(recipe, vessels), now.each_kg, now.count, mixtures)
    return Dividing(batches, minutes, vessels, name, each)


def _longest(recipe: Recipe) -> float:
    """Return how long batches may be made one after the other: the first one gets no older than it keeps [min]."""
    hold = recipe.steps[-1].hold_max if recipe.steps else None
    return _DAY_MIN if hold is None else min(_DAY_MIN, float(hold))


def _in_turn(recipe: Recipe, kg: Fraction, count: int, mixtures: RecipeMixtures) -> float:
    """Return the minutes until the last of some batches is cold, at the slow end: as many at once as vessels allow."""
    longest = 0.0
    for cycle in batch_cycles(recipe, kg, mixtures.mixture(recipe.code), mixtures.book):
        each, fill = trial(cycle.plan).cold_slow or 0.0, cycle.plan.fill
        owned = None if cycle.after.vessel is None else mixtures.book.vessel(cycle.after.vessel).owned
        at_once = 1 if owned is None or fill is None else max(1, owned // fill.count)
        longest = max(longest, each * ceil(count / at_once))
    return longest


def _first(counts: Iterable[int], keeps: Callable[[int], bool]) -> int | None:
    return next((count for count in counts if keeps(count)), None)


def _over(recipe: Recipe, count: int) -> Recipe:
    steps = (step if step.vessel is None else replace(step, vessels=count) for step in recipe.steps)
    return replace(recipe, steps=tuple(steps))


def _keeps(recipe: Recipe, kg: Fraction, mixtures: RecipeMixtures) -> bool:
    try:
        cycles = batch_cycles(recipe, kg, mixtures.mixture(recipe.code), mixtures.book)
    except (NotWorkedOut, MixtureError):
        return False
    tried = [trial(cycle.plan) for cycle in cycles]
    fits = all(_can_be_made(cycle) for cycle in cycles)
    return fits and all(one.verdict in ("kept", "untimed") and one.cold_slow is not None for one in tried)


def _can_be_made(cycle: CoolingCycle) -> bool:
    """Return whether there are as many vessels, not full to the rim, and not spread thinner than anybody does."""
    odd = any(note.code in _ODD for note in cycle.notes)
    fill = cycle.plan.fill
    return not odd and (fill is None or cycle.after.depth_cm is not None or fill.height_mm >= SMALLEST_MM)
