"""Which other desserts of the kitchen would serve guests whom a table does not: all of their needs first, then each."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import chain
from typing import Final

from catalog.pantry.declarations import Serves
from catalog.products.declarations import BookDeclarations, declarations_of
from costing.contract import Book, Product
from orders.documents.content import NeedServed

#: Most other desserts that are named for one need.
MOST_INSTEAD: Final = 3


def proposed(
    need: str, every: Iterable[str], declarations: BookDeclarations, known: Collection[str]
) -> tuple[str, ...]:
    """Return the names of desserts for a need that are not ``known`` by their code.

    Those that serve ``every`` need of the table come first. All that a need asks about was checked in each of them.
    """
    together = _serving_all([need, *every], declarations)
    return _first(chain(together, declarations.serving(need)), known)


def serving_every(book: Book, products: Collection[str], needs: Sequence[NeedServed]) -> tuple[str, ...] | None:
    """Return the names of desserts that are not on a table of ``products`` and serve every one of its needs.

    None where there are not several needs, or the table serves them all.
    """
    if len(needs) < 2 or all(dish.serves == Serves.FREE for need in needs for dish in need.dishes):
        return None
    return _first(_serving_all([need.need for need in needs], declarations_of(book)), products)


def _serving_all(needs: Sequence[str], declarations: BookDeclarations) -> Iterator[Product]:
    first, *rest = dict.fromkeys(needs)
    for product in declarations.serving(first):
        if all(declarations.answer(product.code, need).serves == Serves.FREE for need in rest):
            yield product


def _first(products: Iterable[Product], known: Collection[str]) -> tuple[str, ...]:
    """Return the first desserts, each with all its sizes: what stands before the first comma counts as one."""
    heads: dict[str, dict[str, None]] = {}
    for product in products:
        head = product.name.partition(", ")[0]
        if product.code in known:
            continue
        if head not in heads and len(heads) == MOST_INSTEAD:
            break
        heads.setdefault(head, {})[product.name] = None
    return tuple(name for every in heads.values() for name in every)
