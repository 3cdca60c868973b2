"""What of a table is remarked on without a stop: what likely meets its rule and has to be measured, and short steps."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NamedTuple

from catalog.book.known import KnownByBook
from catalog.cooling.amounts import Units, batch_amounts
from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.recipes.models import Recipe as RecipeRow
from catalog.recipes.perishables import parts_of, perishables, room_safe
from costing.contract import Book, Recipe
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.selectors import Item, RuledTable
from orders.quotes.cooling.shared import SharedBatch
from orders.quotes.cooling.untimed import cools_slowly, slow_to_cool


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
class Ageless:
    """A component with what asks for the cold in it, of which no step states how long it may lie.

    ``step`` is the place of its last step, from 0, which could; None without steps.
    """

    name: str
    recipe_id: int
    step: int | None


@dataclass(frozen=True, slots=True)
class Remarked:
    """What likely meets its rule, but not at the slow end: products and batches; what is stated too short.

    ``unstated`` are the components of which nobody said how long they keep.
    """

    products: tuple[Likely, ...] = ()
    batches: tuple[Likely, ...] = ()
    short: tuple[TooShort, ...] = ()
    unstated: tuple[Ageless, ...] = ()


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
    ageless = list(dict.fromkeys(one for code in units for one in _within(code, book) if _is_ageless(one, book)))
    named = {one.recipe.code for one in likely} | {one.recipe.code for one, _ in short} | set(ageless)
    keys = _keys(named, book)
    return Remarked(
        tuple(products),
        tuple(Likely(one.recipe.name, _item(one, keys), one.batches.grams) for one in likely),
        tuple(TooShort(one.recipe.name, _item(one, keys), one.batches.grams, *times) for one, times in short),
        tuple(_ageless(book.recipe(code), keys[code]) for code in ageless),
    )


#: Primary keys of recipes, by code.
_KEYS: KnownByBook[str, int] = KnownByBook()


def _keys(codes: set[str], book: Book) -> Mapping[str, int]:
    """Return the primary keys of recipes by code, one query where one is not known: every estimate links them."""
    known = _KEYS.of(book)
    if new := codes - known.keys():
        known.update(RecipeRow.objects.filter(code__in=new).values_list("code", "pk"))
    return known


def _item(one: BatchCold, keys: Mapping[str, int]) -> Item:
    return Item("recipe", keys[one.recipe.code])


class Minded(NamedTuple):
    """What is measured although nothing waits for it; ``slow`` by a rule without times, ``own`` the product itself."""

    name: str
    slow: bool
    own: bool = False


def minded_within(
    units: Units, book: Book, larger: Mapping[str, Fraction] | None = None
) -> Mapping[str, tuple[Minded, ...]]:
    """Return by product code what of it is measured although nothing waits for it: itself, or batches in it.

    It likely meets its rule, but not at the slow end; or its rule states no times, and it takes longer than guidance
    asks for.

    ``larger`` are the batches that are made in more than the table takes [g], by code of the recipe.
    """
    amounts = dict(batch_amounts(units, book)) | dict(larger or {})
    hot = {one.recipe.code: each for one in batch_colds(amounts.items(), book) for each in _minded_batch(one)}
    cold = cold_times(units, book)
    own = {code: Minded(book.product(code).name, slow=False, own=True) for code in _products_likely(cold)}
    slow = (code for code, one in cold.items() if slow_to_cool(one))
    own |= {code: Minded(book.product(code).name, slow=True, own=True) for code in slow}
    found = {}
    for code in units:
        inside = (hot[one] for one in _within(code, book) if one in hot)
        if every := (*((own[code],) if code in own else ()), *inside):
            found[code] = every
    return found


def _minded_batch(one: BatchCold) -> Iterator[Minded]:
    slow = any(cools_slowly(each.trial) for each in one.times)
    if slow or _is_likely(one):
        yield Minded(one.recipe.name, slow)


def _within(code: str, book: Book) -> Iterator[str]:
    met, left = set[str](), [fill.recipe for fill in book.product(code).fill]
    while left:
        recipe = left.pop()
        if recipe not in met:
            met.add(recipe)
            yield recipe
            left += [line.recipe for line in book.recipe(recipe).lines if line.recipe is not None]


def _ageless(recipe: Recipe, key: int) -> Ageless:
    return Ageless(recipe.name, key, len(recipe.steps) - 1 if recipe.steps else None)


def _is_ageless(code: str, book: Book) -> bool:
    recipe = book.recipe(code)
    if recipe.steps and recipe.steps[-1].hold_max is not None:
        return False
    return not room_safe(recipe, book) and bool(perishables(parts_of([code], book)))


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


def unsettled_names(found: RuledTable, shared: Iterable[SharedBatch] = ()) -> list[str]:
    """Return the names of what breaks the rule or may never get cold, also only together with others, each once."""
    alone = (one.name for one in (*found.broken, *found.never))
    return list(dict.fromkeys([*alone, *(one.name for one in shared)]))
