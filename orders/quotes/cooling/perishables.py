"""Products with milk, egg, cream, gelatin or custard in them of which nobody said how they are kept.

What is found is a hint to the owner (``catalog/recipes/perishables.py``), and nothing is concluded from its silence.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog.cooling.selectors import cold_times
from catalog.products.models import Product as ProductRow
from catalog.recipes.perishables import Held, all_room_safe, parts_of, perishables
from catalog.records.versions import version_mark
from costing.contract import Book, Product


@dataclass(frozen=True, slots=True)
class Unstated:
    """A product that has one of them in it, and no word on how it is kept; ``holds`` says what, in a fixed order."""

    name: str
    product_id: int
    holds: tuple[str, ...]


def unstated(codes: Iterable[str], contained: Mapping[str, Iterable[str]], book: Book) -> tuple[Unstated, ...]:
    """Return the products of which neither a holding text nor a cooling step says how they are kept.

    ``contained`` are their allergens by code. One query for links to them, if there are any.
    """
    wanted = list(codes)
    cold = cold_times(wanted, book)
    found = {
        code: held
        for code in wanted
        if code not in cold
        and not _keeping_stated(book.product(code), book)
        and (held := held_in(book.product(code), contained.get(code, ()), book))
    }
    if not found:
        return ()
    keys = dict(ProductRow.objects.filter(code__in=found).values_list("code", "pk"))
    return tuple(Unstated(book.product(code).name, keys.get(code, 0), held) for code, held in found.items())


def _keeping_stated(product: Product, book: Book) -> bool:
    """Return whether there are words on how it is kept, or all that fills it is safe at room temperature."""
    stable = bool(product.fill) and all_room_safe((fill.recipe for fill in product.fill), book)
    return stable or bool(product.holding.strip())


def held_in(product: Product, allergens: Iterable[str], book: Book) -> tuple[str, ...]:
    """Return which of them a product has in it, by allergens, USDA rows and names."""
    within = parts_of((fill.recipe for fill in product.fill), book)
    return perishables([Held(product.name, allergens=tuple(allergens)), *within])


def unstated_mark(found: Iterable[Unstated]) -> str:
    """Return a mark of what is named: who acknowledges it, acknowledges these products."""
    return version_mark(sorted((one.product_id, *one.holds) for one in found))
