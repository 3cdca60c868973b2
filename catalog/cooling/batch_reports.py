"""The cooling report of an amount of a recipe: batches, vessels, figures and remedies; and short ones for lists."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from catalog.book.known import KnownByBook
from catalog.book.selectors import book_current
from catalog.cooling.batch_remedies import batch_remedies_for
from catalog.cooling.batches import (
    Batches,
    asks_how_many,
    batch_cycles,
    batches_of,
    hot_unsaid,
    is_heated,
    is_hot,
    usual_grams,
    vessels_short,
)
from catalog.cooling.figures import CycleFigures, figures_of, missing_key, station_keys, vessel_keys
from catalog.cooling.longest_holds import batch_held
from catalog.cooling.maybe_hot import heat_question
from catalog.cooling.missing import Missing, NotWorkedOut
from catalog.cooling.mixtures import MOST_UNKNOWN, RecipeMixtures
from catalog.cooling.remedies import Remedies
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.time_used import batch_used_up
from catalog.records.reasons import Reason
from costing.chilling import MixtureError, Trial, trial
from costing.contract import Book, Recipe


@dataclass(frozen=True, slots=True)
class BatchCooled:
    """An amount of a recipe with the cooling cycles of one batch, and what is missing to work them all out."""

    recipe: Recipe
    batches: Batches
    cycles: tuple[CoolingCycle, ...] = ()
    missing: Missing | None = None


def batch_cooled(recipe: Recipe, grams: Fraction, mixtures: RecipeMixtures) -> BatchCooled:
    """Compute the cooling cycles of an amount of a recipe; none where no step makes it hot.

    Where nothing else is missing, it may be that its steps have it out of the cold for too long.
    """
    found = _cycles(recipe, batches_of(recipe, grams, mixtures.book), mixtures)
    return replace(found, missing=found.missing or batch_used_up(recipe, found.batches.each_kg, mixtures.book))


def _cycles(recipe: Recipe, batches: Batches, mixtures: RecipeMixtures) -> BatchCooled:
    if not is_hot(recipe, mixtures):
        return BatchCooled(recipe, batches)
    unsaid = hot_unsaid(recipe, mixtures)
    if unsaid is not None and heat_question(recipe, mixtures) is not None:
        # What it consists of is no answer to whether it is hot.
        return BatchCooled(recipe, batches, missing=unsaid)
    try:
        mixture = mixtures.mixture(recipe.code)
        if mixture.unknown_share > MOST_UNKNOWN:
            unknown = Missing(Reason("unknown_food", {"names": mixture.unknown}), "ingredients")
            return BatchCooled(recipe, batches, missing=unknown)
        cycles = tuple(batch_cycles(recipe, batches.each_kg, mixture, mixtures.book))
        held = None if unsaid else batch_held(recipe, batches.each_kg, mixture, cycles, mixtures.book)
        return BatchCooled(recipe, batches, cycles, unsaid or held)
    except NotWorkedOut as found:
        return BatchCooled(recipe, batches, missing=found.missing)
    except MixtureError as error:
        missing = Missing(Reason("mixture", {"message": str(error)}), "recipe", recipe.code)
        return BatchCooled(recipe, batches, missing=missing)


@dataclass(frozen=True, slots=True)
class BatchCycleReport:
    """The report of one cooling cycle of a batch; ``remedies`` where the rule is not certainly met."""

    figures: CycleFigures
    remedies: Remedies | None


@dataclass(frozen=True, slots=True)
class BatchReport:
    """How an amount of a recipe cools, or what is missing to work it out; with keys for links."""

    batches: Batches
    cycles: tuple[BatchCycleReport, ...] = ()
    missing: Missing | None = None
    missing_key: int | None = None
    stations: Mapping[str, int] = field(default_factory=dict)
    vessels: Mapping[str, int] = field(default_factory=dict)


def batch_report(code: str, grams: Fraction | None) -> BatchReport:
    """Compute how an amount of a recipe cools, or its usual batch; in a fixed number of queries.

    One more leads to a vessel of which there are too few, or nobody knows how many.

    Raises
    ------
    CannotPrice
        When the catalog as a whole has an error.
    """
    book = book_current()
    mixtures, recipe = RecipeMixtures(book), book.recipe(code)
    found = batch_cooled(recipe, grams or usual_batch(recipe, mixtures), mixtures)
    if found.missing is not None and not found.cycles:
        return BatchReport(found.batches, missing=found.missing, missing_key=missing_key(found.missing))
    cycles, unsaid = tuple(_report(cycle, found.batches, book) for cycle in found.cycles), found.missing
    key = None if unsaid is None else missing_key(unsaid)
    vessels = vessel_keys() if any(asks_how_many(one.figures.cycle) for one in cycles) else {}
    return BatchReport(found.batches, cycles, unsaid, key, station_keys(), vessels)


def hot_and_open(code: str, book: Book) -> Missing | None:
    """Return what is not entered of a recipe that a step makes hot, or that stands out too long; else None.

    Whether it is cold in time is not worked out.
    """
    mixtures, recipe = RecipeMixtures(book), book.recipe(code)
    return batch_cooled(recipe, usual_batch(recipe, mixtures), mixtures).missing


def usual_batch(recipe: Recipe, mixtures: RecipeMixtures) -> Fraction:
    """Return the amount a page shows first [g]: a full batch, or what the recipe is written for."""
    try:
        written = Fraction(round(mixtures.mixture(recipe.code).grams))
    except MixtureError:
        written = Fraction(1000)
    return usual_grams(recipe, max(written, Fraction(1)), mixtures.book)


def _report(cycle: CoolingCycle, batches: Batches, book: Book) -> BatchCycleReport:
    found = figures_of(cycle, book)
    asked = found.doubtful or vessels_short(cycle) is not None
    return BatchCycleReport(found, batch_remedies_for(cycle, book, batches) if asked else None)


@dataclass(frozen=True, slots=True)
class BatchTimes:
    """One cooling of a batch for a list: the cycle, and how it does under its rule."""

    cycle: CoolingCycle
    trial: Trial


@dataclass(frozen=True, slots=True)
class BatchCold:
    """How the batches of a recipe cool, for a list; ``missing`` says why it is not known.

    ``heated`` when it is warmer than the kitchen when it is made.
    """

    recipe: Recipe
    batches: Batches
    times: tuple[BatchTimes, ...] = ()
    missing: Missing | None = None
    heated: bool = True

    @property
    def short(self) -> Reason | None:
        """That it needs more vessels than the kitchen has; None where it does not, or that is not known."""
        return next((found for each in self.times if (found := vessels_short(each.cycle)) is not None), None)

    @property
    def uncounted(self) -> Missing | None:
        """That it is not entered how many of its vessels the kitchen has; None where it is."""
        notes = (note for each in self.times for note in each.cycle.notes if note.code == "owned_unknown")
        return next((Missing(note, "vessel", str(note.params["vessel"])) for note in notes), None)


#: What is known of batches, by recipe and amount.
_KNOWN: KnownByBook[tuple[str, Fraction], BatchCold] = KnownByBook(most=1_000)
#: Whether a recipe is hot while it is made, by its code: to tell means to read its words.
_HOT: KnownByBook[str, bool] = KnownByBook()


def batch_colds(wanted: Iterable[tuple[str, Fraction]], book: Book) -> list[BatchCold]:
    """Return how amounts of recipes cool, by code and grams; each computed once per Book object, without a query.

    Recipes that no step makes hot are left out, unless their steps have them out of the cold for too long.
    """
    known, hot, mixtures = _KNOWN.of(book), _HOT.of(book), RecipeMixtures(book)
    found = []
    for code, grams in wanted:
        recipe = book.recipe(code)
        if code not in hot:
            hot[code] = is_hot(recipe, mixtures)
        if not hot[code] and batch_used_up(recipe, batches_of(recipe, grams, book).each_kg, book) is None:
            continue
        cold = known.get((code, grams))
        if cold is None:
            # Two threads that need the same batch both compute it, and find the same.
            cold = known[code, grams] = _cold(batch_cooled(recipe, grams, mixtures), heated=is_heated(recipe, mixtures))
        found.append(cold)
    return found


def _cold(found: BatchCooled, *, heated: bool) -> BatchCold:
    times = tuple(BatchTimes(cycle, trial(cycle.plan)) for cycle in found.cycles)
    return BatchCold(found.recipe, found.batches, times, found.missing, heated)
