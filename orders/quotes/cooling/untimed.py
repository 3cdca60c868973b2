"""What a rule without times leaves open: batches and products that take long to get cold."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from catalog.cooling.amounts import Units
from catalog.cooling.selectors import HotTime, ProductCold, cold_times
from catalog.recipes.models import Recipe as RecipeRow
from costing.chilling import Trial
from costing.contract import Book
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.selectors import Item


@dataclass(frozen=True, slots=True)
class Untimed:
    """What is hot under a rule that states no times, and how it gets cold; ``grams`` are those of a batch."""

    name: str
    item: Item
    rule: str
    trial: Trial
    grams: Fraction | None = None


def cools_slowly(found: Trial) -> bool:
    """Return whether what cools by a rule without times takes longer than guidance asks for."""
    guidance = found.plan.rule.guidance
    if guidance is None or found.verdict != "untimed":
        return False
    return found.cold_slow is None or found.cold_slow > guidance.minutes


def untimed(units: Units, book: Book) -> tuple[Untimed, ...]:
    """Return what of a table is hot and takes longer than guidance asks for, where the rule states no times."""
    return (*_batches(units, book), *_products(units, book))


def _batches(units: Units, book: Book) -> Iterator[Untimed]:
    found = [(one, each) for one in hot_batches(units, book) for each in one.times if cools_slowly(each.trial)]
    codes = {one.recipe.code for one, _ in found}
    keys = dict(RecipeRow.objects.filter(code__in=codes).values_list("code", "pk")) if codes else {}
    for one, each in found:
        item = Item("recipe", keys[one.recipe.code])
        yield Untimed(one.recipe.name, item, each.cycle.plan.rule.title, each.trial, one.batches.grams)


def _products(units: Units, book: Book) -> Iterator[Untimed]:
    for code, one in cold_times(units, book).items():
        for each in slow_to_cool(one):
            yield Untimed(book.product(code).name, Item("product", one.product_id), each.rule, each.trial)


def slow_to_cool(cold: ProductCold) -> tuple[HotTime, ...]:
    """Return the coolings of a product as cooked food that take longer than guidance asks for."""
    return tuple(each for each in cold.hot if cools_slowly(each.trial))
