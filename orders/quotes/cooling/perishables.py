"""Products with milk, egg, cream, gelatin or custard in them of which nobody, or only a source, said how to keep them.

What is found is a hint to the owner (``catalog/recipes/perishables.py``), and nothing is concluded from its silence.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog.cooling.cold_holding import holds_cold
from catalog.cooling.cold_keeping import held_in_the_cold, keeping_stated
from catalog.cooling.keeping import cools_to
from catalog.cooling.selectors import cold_times
from catalog.products.models import Product as ProductRow
from catalog.recipes.perishables import Held, all_room_safe, claim_to_confirm, held_or_unchecked, parts_of, perishables
from catalog.records.versions import version_mark
from costing.contract import Book, Product


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
    recipes = [book.recipe(fill.recipe) for fill in product.fill]
    if not product.fill or not all_room_safe((recipe.code for recipe in recipes), book):
        return ()
    needing = (one for one in recipes if held_or_unchecked(parts_of([one.code], book)))
    return tuple(dict.fromkeys(one.shelf_stable_source.strip() for one in needing))


def to_see(codes: Iterable[str], contained: Mapping[str, Iterable[str]], book: Book) -> tuple[Unstated, ...]:
    """Return what whoever sends it has to have seen: ``unstated``, then ``room_holding``."""
    wanted = list(codes)
    return (*unstated(wanted, contained, book), *room_holding(wanted, contained, book))


def claims_to_confirm(codes: Iterable[str], book: Book) -> tuple[str, ...]:
    """Return recipes of some products that were safe at room temperature by a source and were changed since.

    Also those whose tick was taken out while the source stayed. Recipes inside others are looked at too.
    """
    met, left = dict[str, None](), [fill.recipe for code in codes for fill in book.product(code).fill]
    while left:
        code = left.pop(0)
        if code not in met:
            met[code] = None
            left += [line.recipe for line in book.recipe(code).lines if line.recipe is not None]
    recipes = map(book.recipe, met)
    return tuple(one.name for one in recipes if claim_to_confirm(one.shelf_stable, one.shelf_stable_source))


def held_in(product: Product, allergens: Iterable[str], book: Book) -> tuple[str, ...]:
    """Return which of them a product has in it, by allergens, USDA rows and names."""
    within = parts_of((fill.recipe for fill in product.fill), book)
    return perishables([Held(product.name, allergens=tuple(allergens)), *within])


def unstated_mark(found: Iterable[Unstated]) -> str:
    """Return a mark of what is named: who acknowledges it, acknowledges these products."""
    return version_mark(sorted((one.product_id, *one.holds, *one.sources) for one in found))
