"""What of a table is remarked on without a stop: what likely meets its rule and has to be measured, and short steps."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from catalog.cooling.amounts import Units, batch_amounts
from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.cooling.selectors import cold_times
from costing.contract import Book
from orders.quotes.cooling.amounts import hot_batches


@dataclass(frozen=True, slots=True)
class TooShort:
    """A batch whose stated steps are shorter than its cooling takes [min]; ``slow`` is None where that is not known."""

    name: str
    stated: float
    likely: float
    slow: float | None


@dataclass(frozen=True, slots=True)
class Remarked:
    """The names of what likely meets its rule, but not at the slow end; what is stated too short."""

    likely: tuple[str, ...] = ()
    short: tuple[TooShort, ...] = ()


NOTHING_REMARKED: Final = Remarked()


def remarked(units: Units, book: Book) -> Remarked:
    """Return what of a table is remarked on at its review."""
    hot = list(hot_batches(units, book))
    batches = [one.recipe.name for one in hot if _is_likely(one)]
    products = [book.product(code).name for code in _products_likely(units, book)]
    return Remarked(tuple(dict.fromkeys([*products, *batches])), tuple(_short(hot)))


def likely_within(
    units: Units, book: Book, larger: Mapping[str, Fraction] | None = None
) -> Mapping[str, tuple[str, ...]]:
    """Return by product code what of it likely meets its rule, but not at the slow end: itself, or batches in it.

    ``larger`` are the batches that are made in more than the table takes [g], by code of the recipe.
    """
    amounts = dict(batch_amounts(units, book)) | dict(larger or {})
    hot = {one.recipe.code: one.recipe.name for one in batch_colds(amounts.items(), book) if _is_likely(one)}
    own = set(_products_likely(units, book))
    found = {}
    for code in units:
        product = book.product(code)
        names = [product.name] if code in own else []
        names += [hot[one] for one in _within(code, book) if one in hot]
        if names:
            found[code] = tuple(names)
    return found


def _within(code: str, book: Book) -> Iterator[str]:
    met, left = set[str](), [fill.recipe for fill in book.product(code).fill]
    while left:
        recipe = left.pop()
        if recipe not in met:
            met.add(recipe)
            yield recipe
            left += [line.recipe for line in book.recipe(recipe).lines if line.recipe is not None]


def _products_likely(units: Units, book: Book) -> Iterator[str]:
    for code, cold in cold_times(units, book).items():
        if any(time.verdict == "likely" for time in cold.times):
            yield code


def _is_likely(one: BatchCold) -> bool:
    verdicts = {each.trial.verdict for each in one.times}
    return "likely" in verdicts


def _short(hot: list[BatchCold]) -> Iterator[TooShort]:
    for one in hot:
        for each in one.times:
            stated, likely = sum(stage.minutes for stage in each.cycle.stages), each.trial.cold_likely
            if likely is not None and stated < likely:
                yield TooShort(one.recipe.name, stated, likely, each.trial.cold_slow)
