"""Products with milk, egg, cream, gelatin or custard in them of which nobody, or only a source, said how to keep them.

What is found is a hint to the owner (``catalog/recipes/perishables.py``), and nothing is concluded from its silence.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from catalog.cooling.cold_holding import holds_cold
from catalog.cooling.cold_keeping import held_in_the_cold, keeping_stated
from catalog.cooling.keeping import cools_to
from catalog.cooling.selectors import cold_times
from catalog.products.models import Product as ProductRow
from catalog.recipes.models import Recipe as RecipeRow
from catalog.recipes.perishables import (
    Held,
    all_room_safe,
    claim_to_confirm,
    held_or_unchecked,
    parts_of,
    perishables,
    room_safe,
)
from catalog.recipes.room_sources import Basis, basis_in
from catalog.records.versions import version_mark
from costing.contract import Book, Product, Recipe
from orders.records.cooling_errors import SourceUnshown


@dataclass(frozen=True, slots=True)
class Unstated:
    """A product that has one of them in it, and no word on how it is kept; ``holds`` says what, in a fixed order.

    ``sources`` are those by which it is kept at room temperature; none where nothing says how it is kept.
    """

    name: str
    product_id: int
    holds: tuple[str, ...]
    sources: tuple[str, ...] = ()


def unstated(codes: Iterable[str], contained: Mapping[str, Iterable[str]], book: Book) -> tuple[Unstated, ...]:
    """Return the products of which neither a holding text nor a step in the cold says how they are kept.

    A temperature that a step states, and nothing in the cold after it, is no word on that. ``contained`` are their
    allergens by code. One query for links to them, if there are any.
    """
    wanted = list(codes)
    cold = cold_times(wanted, book)
    found = {
        code: held
        for code in wanted
        if not cools_to(cold.get(code))
        and not keeping_stated(book.product(code), book)
        and not held_in_the_cold(book.product(code), book)
        and (held := held_in(book.product(code), contained.get(code, ()), book))
    }
    if not found:
        return ()
    keys = dict(ProductRow.objects.filter(code__in=found).values_list("code", "pk"))
    return tuple(Unstated(book.product(code).name, keys.get(code, 0), held) for code, held in found.items())


def room_holding(codes: Iterable[str], contained: Mapping[str, Iterable[str]], book: Book) -> tuple[Unstated, ...]:
    """Return the products that are kept at room temperature with one of them in it, by a source and no more.

    What is held cold, or cools, leans on no source. One query for links to them, if there are any.
    """
    wanted = list(codes)
    cold, found = cold_times(wanted, book), dict[str, tuple[tuple[str, ...], tuple[str, ...]]]()
    for code in wanted:
        product = book.product(code)
        sources = _sources(product, book)
        if sources and not cools_to(cold.get(code)) and not holds_cold(product.holding):
            within = parts_of((fill.recipe for fill in product.fill), book)
            every = [Held(product.name, allergens=tuple(contained.get(code, ()))), *within]
            found[code] = (held_or_unchecked(every), sources)
    if not found:
        return ()
    keys = dict(ProductRow.objects.filter(code__in=found).values_list("code", "pk"))
    return tuple(Unstated(book.product(code).name, keys.get(code, 0), *each) for code, each in found.items())


def _sources(product: Product, book: Book) -> tuple[str, ...]:
    """Return by which sources all that fills a product is safe at room temperature, where that takes a source."""
    return tuple(dict.fromkeys(one.shelf_stable_source.strip() for one in _needing(product, book)))


def _needing(product: Product, book: Book) -> list[Recipe]:
    """Return the recipes that take a source, where all that fills a product is safe at room temperature."""
    recipes = [book.recipe(fill.recipe) for fill in product.fill]
    if not product.fill or not all_room_safe((recipe.code for recipe in recipes), book):
        return []
    return [one for one in recipes if held_or_unchecked(parts_of([one.code], book))]


def to_see(codes: Iterable[str], contained: Mapping[str, Iterable[str]], book: Book) -> tuple[Unstated, ...]:
    """Return what whoever sends it has to have seen: ``unstated``, then ``room_holding``."""
    wanted = list(codes)
    return (*unstated(wanted, contained, book), *room_holding(wanted, contained, book))


def claims_to_confirm(codes: Iterable[str], book: Book) -> tuple[str, ...]:
    """Return recipes of some products that were safe at room temperature by a source and were changed since.

    Also those whose tick was taken out while the source stayed. Recipes inside others are looked at too.
    """
    every = _recipes_in(codes, book)
    return tuple(one.name for one in every if claim_to_confirm(one.shelf_stable, one.shelf_stable_source))


def sources_unshown(codes: Iterable[str], book: Book) -> Iterator[SourceUnshown]:
    """Yield a refusal for each recipe of some products whose source does not show that it is safe at room temperature.

    It counts as safe all the same, as older words did when they were entered; one query for links, where there are any.
    """
    found = {one.code: one for one in _recipes_in(codes, book) if room_safe(one, book) and basis_in(one).lacks}
    needing = {code: one for code, one in found.items() if held_or_unchecked(parts_of([code], book))}
    keys = dict(RecipeRow.objects.filter(code__in=needing).values_list("code", "pk")) if needing else {}
    for code, one in needing.items():
        facts = {"what": one.name, "source": one.shelf_stable_source, "lacks": basis_in(one).lacks}
        yield SourceUnshown(recipe_id=keys.get(code, 0), **facts)


def room_bases(product: Product, book: Book) -> tuple[Basis, ...]:
    """Return what shows that all that fills a product is safe at room temperature; none where something does not."""
    found = tuple(basis_in(one) for one in _needing(product, book))
    return () if any(basis.lacks for basis in found) else found


def _recipes_in(codes: Iterable[str], book: Book) -> list[Recipe]:
    """Return the recipes of some products, each once, also those inside others."""
    met, left = dict[str, None](), [fill.recipe for code in codes for fill in book.product(code).fill]
    while left:
        code = left.pop(0)
        if code not in met:
            met[code] = None
            left += [line.recipe for line in book.recipe(code).lines if line.recipe is not None]
    return [book.recipe(code) for code in met]


def held_in(product: Product, allergens: Iterable[str], book: Book) -> tuple[str, ...]:
    """Return which of them a product has in it, by allergens, USDA rows and names."""
    within = parts_of((fill.recipe for fill in product.fill), book)
    return perishables([Held(product.name, allergens=tuple(allergens)), *within])


def unstated_mark(found: Iterable[Unstated]) -> str:
    """Return a mark of what is named: who acknowledges it, acknowledges these products."""
    return version_mark(sorted((one.product_id, *one.holds, *one.sources) for one in found))
