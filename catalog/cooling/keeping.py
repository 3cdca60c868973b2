"""How a product is kept where nobody wrote it: cold, if it holds milk, egg, cream, gelatin or custard.

What was measured of it says how it cooled, not how it is kept; so does a temperature at which a step leaves it.
"""

from collections.abc import Iterable

from catalog.cooling.cold_keeping import asks_for_cold, keeping_stated
from catalog.cooling.cycles import rule_of
from catalog.cooling.selectors import ProductCold, cold_times
from costing.chilling import COLD_C
from costing.contract import Book


def held_cold(codes: Iterable[str], book: Book) -> dict[str, float]:
    """Return how warm products may be kept at most [°C], by code: by the rule in force, where nothing else says it.

    Those of which a holding text, a cooling or a source says how they are kept are left out, and those that hold
    nothing that asks for the cold, as far as allergens, USDA rows and names tell.
    """
    known = {product.code: product for product in book.products}
    wanted = [known[code] for code in dict.fromkeys(codes) if code in known]
    cold = cold_times([product.code for product in wanted], book)
    rule = rule_of(book.kitchen.described)
    cold_c = COLD_C if rule.cold_c is None else rule.cold_c
    open_ = (one for one in wanted if not keeping_stated(one, book) and not cools_to(cold.get(one.code)))
    return {product.code: cold_c for product in open_ if asks_for_cold(product, book)}


def cools_to(cold: ProductCold | None) -> bool:
    """Return whether how it cools says how cold it is kept, or how long it may be out of the cold.

    That nothing can be worked out of a step that states a temperature says neither; nor that it is kept cold because
    nothing says it.
    """
    return (
        cold is not None and not cold.assumed and (bool(cold.times) or cold.out is not None or cold.holds_c is not None)
    )
