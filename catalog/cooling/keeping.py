"""How a product is kept where nobody wrote it: cold, if it holds milk, egg, cream, gelatin or custard.

What was measured of it says how it cooled, not how it is kept; so does a temperature at which a step leaves it.
"""

from collections.abc import Iterable

from catalog.cooling.cycles import rule_of
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.cooling.stages import is_cold, station_of
from catalog.recipes.perishables import Held, all_room_safe, parts_of, perishables
from costing.chilling import COLD_C
from costing.contract import Book, Product


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
    return {product.code: cold_c for product in open_ if _holds(product, book)}


def keeping_stated(product: Product, book: Book) -> bool:
    """Return whether there are words on how it is kept, or all that fills it is safe at room temperature."""
    stable = bool(product.fill) and all_room_safe((fill.recipe for fill in product.fill), book)
    return stable or bool(product.holding.strip())


def cools_to(cold: ProductCold | None) -> bool:
    """Return whether how it cools says how cold it is kept, or how long it may be out of the cold.

    That nothing can be worked out of a step that states a temperature says neither.
    """
    return cold is not None and (bool(cold.times) or cold.out is not None or cold.holds_c is not None)


def held_in_the_cold(product: Product, book: Book) -> bool:
    """Return whether its steps put it into the cold and say how long it is held from there."""
    steps = product.steps
    cold = [at for at, step in enumerate(steps) if is_cold(step, station_of(step, book))]
    return bool(cold) and any(step.hold_max is not None for step in steps[cold[-1] :])


def _holds(product: Product, book: Book) -> bool:
    within = parts_of((fill.recipe for fill in product.fill), book)
    return bool(perishables([Held(product.name), *within]))
