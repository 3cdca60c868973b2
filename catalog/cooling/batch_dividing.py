"""How a batch that breaks its rule has to be divided to keep it: into more batches, or over more of its vessels."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
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


@dataclass(frozen=True, slots=True)
class Dividing:
    """The fewest batches that keep the rule, and the fewest vessels of those that are owned; None where none do.

    They keep it at the slow end of the estimate too.
    """

    batches: int | None = None
    vessels: int | None = None
    vessel: str = ""


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
    names = {step.vessel for step in recipe.steps if step.vessel is not None}
    if len(names) != 1:
        return Dividing(batches)
    (name,) = names
    owned = range(2, min(book.vessel(name).owned, MOST) + 1)
    vessels = _first(owned, lambda count: _keeps(_over(recipe, count), now.each_kg, mixtures))
    return Dividing(batches, vessels, name)


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
