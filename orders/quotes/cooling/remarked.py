"""What of a table is remarked on without a stop: what likely meets its rule and has to be measured, and short steps."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from catalog.cooling.amounts import Units, batch_amounts
from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.recipes.models import Recipe as RecipeRow
from costing.contract import Book
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.selectors import Item, RuledTable


@dataclass(frozen=True, slots=True)
class TooShort:
    """A batch [g] whose stated steps are shorter than its cooling takes [min]; ``slow`` is None where not known."""

    name: str
    item: Item
    grams: Fraction
    stated: float
    likely: float
    slow: float | None


@dataclass(frozen=True, slots=True)
class Likely:
    """What likely meets its rule, but not at the slow end; ``grams`` are those of a batch, None for a product."""

    name: str
    item: Item
    grams: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Remarked:
    """What likely meets its rule, but not at the slow end: products and batches; what is stated too short."""

    products: tuple[Likely, ...] = ()
    batches: tuple[Likely, ...] = ()
    short: tuple[TooShort, ...] = ()


NOTHING_REMARKED: Final = Remarked()


def remarked(units: Units, book: Book) -> Remarked:
    """Return what of a table is remarked on at its review."""
    hot = list(hot_batches(units, book))
    cold = cold_times(units, book)
    products = [
        Likely(book.product(code).name, Item("product", cold[code].product_id)) for code in _products_likely(cold)
    ]
    likely = [one for one in hot if _is_likely(one)]
    short = list(_short(hot))
    named = {one.recipe.code for one in likely} | {one.recipe.code for one, _ in short}
    keys = dict(RecipeRow.objects.filter(code__in=named).values_list("code", "pk")) if named else {}
    return Remarked(
        tuple(products),
        tuple(Likely(one.recipe.name, _item(one, keys), one.batches.grams) for one in likely),
        tuple(TooShort(one.recipe.name, _item(one, keys), one.batches.grams, *times) for one, times in short),
    )


def _item(one: BatchCold, keys: Mapping[str, int]) -> Item:
    return Item("recipe", keys[one.recipe.code])


def likely_within(
    units: Units, book: Book, larger: Mapping[str, Fraction] | None = None
) -> Mapping[str, tuple[str, ...]]:
    """Return by product code what of it likely meets its rule, but not at the slow end: itself, or batches in it.

    ``larger`` are the batches that are made in more than the table takes [g], by code of the recipe.
    """
    amounts = dict(batch_amounts(units, book)) | dict(larger or {})
    hot = {one.recipe.code: one.recipe.name for one in batch_colds(amounts.items(), book) if _is_likely(one)}
    own = set(_products_likely(cold_times(units, book)))
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


def _products_likely(cold: Mapping[str, ProductCold]) -> Iterator[str]:
    for code, one in cold.items():
        if any(time.verdict == "likely" for time in one.times):
            yield code


def _is_likely(one: BatchCold) -> bool:
    verdicts = {each.trial.verdict for each in one.times}
    return "likely" in verdicts


def _short(hot: list[BatchCold]) -> Iterator[tuple[BatchCold, tuple[float, float, float | None]]]:
    for one in hot:
        for each in one.times:
            stated, likely = sum(stage.minutes for stage in each.cycle.stages), each.trial.cold_likely
            if likely is not None and stated < likely:
                yield one, (stated, likely, each.trial.cold_slow)


def unsettled_names(found: RuledTable) -> list[str]:
    """Return the names of what breaks the rule or may never get cold, each once."""
    return list(dict.fromkeys(one.name for one in (*found.broken, *found.never)))
