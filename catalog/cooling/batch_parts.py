"""The components of a product that cool as batches of their own, whatever the product's own steps say."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.cooling.amounts import batch_amounts
from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.recipes.models import Recipe as RecipeRow
from costing.chilling import is_unmet
from costing.contract import Book, Product, Recipe


@dataclass(frozen=True, slots=True)
class BatchPart:
    """A component of which the batches of an order cool by themselves, and the primary key of its recipe."""

    cold: BatchCold
    key: int

    @property
    def fails(self) -> bool:
        """Whether that batch breaks its rule, may never get cold, needs more vessels than there are, or is unknown."""
        return batch_fails(self.cold)

    @property
    def likely(self) -> bool:
        """Whether that batch meets its rule at the likely figures only: it has to be measured."""
        return any(each.trial.verdict == "likely" for each in self.cold.times)


def batch_fails(cold: BatchCold) -> bool:
    """Return whether a batch breaks its rule, may never get cold, needs more vessels than there are, or is unknown."""
    tried = [each.trial for each in cold.times]
    stops = cold.missing is not None or cold.short is not None
    return stops or any(one.never or is_unmet(one.verdict, timed=bool(one.legs)) for one in tried)


def codes_within(product: Product, book: Book) -> list[str]:
    """Return the codes of the recipes that go into a product, however deep, users first."""
    return list(dict.fromkeys(one.code for fill in product.fill for one in _within(book.recipe(fill.recipe), book)))


def batch_parts(product: Product, units: int, book: Book) -> tuple[BatchPart, ...]:
    """Return the components, however deep, that cool as batches in an order of units; one query where any do."""
    colds = batch_colds(batch_amounts({product.code: units}, book), book)
    if not colds:
        return ()
    codes = [cold.recipe.code for cold in colds]
    keys = dict(RecipeRow.objects.filter(code__in=codes).values_list("code", "pk"))
    return tuple(BatchPart(cold, keys[cold.recipe.code]) for cold in colds if cold.recipe.code in keys)


def _within(recipe: Recipe, book: Book) -> Iterator[Recipe]:
    yield recipe
    for line in recipe.lines:
        if line.recipe is not None:
            yield from _within(book.recipe(line.recipe), book)
