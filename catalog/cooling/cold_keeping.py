"""Whether words or steps say how a product is kept; what holds milk, egg, cream, gelatin or custard is kept cold."""

from catalog.cooling.cold_holding import holds_cold, holds_hot
from catalog.cooling.stages import is_cold, station_of
from catalog.recipes.perishables import Held, all_room_safe, parts_of, perishables
from costing.contract import Book, Product


def keeping_stated(product: Product, book: Book) -> bool:
    """Return whether its text says how it is kept, or all that fills it is safe at room temperature.

    A text without a temperature at which it is kept, or the cold, says nothing of that: "Serve with a spoon."
    """
    stable = bool(product.fill) and all_room_safe((fill.recipe for fill in product.fill), book)
    return stable or holds_cold(product.holding) or holds_hot(product.holding)


def held_in_the_cold(product: Product, book: Book) -> bool:
    """Return whether its steps put it into the cold and it stays there.

    It does where the last step is in the cold, or where a step from there on, or the product, says how long it is held.
    """
    steps = product.steps
    cold = [at for at, step in enumerate(steps) if is_cold(step, station_of(step, book))]
    if not cold:
        return False
    ends_cold = cold[-1] == len(steps) - 1 or product.keeps_hours is not None
    return ends_cold or any(step.hold_max is not None for step in steps[cold[-1] :])


def is_chilled(product: Product, book: Book) -> bool:
    """Return whether one of its steps stands in the cold."""
    return any(is_cold(step, station_of(step, book)) for step in product.steps)


def is_filled_cold(product: Product, book: Book) -> bool:
    """Return whether something that fills it, or is inside that, is put into the cold by its own steps.

    Not where the product's own steps heat it after that.
    """
    if any(step.heats or step.leaves_c is not None for step in product.steps):
        return False
    met, left = set[str](), [fill.recipe for fill in product.fill]
    while left:
        code = left.pop()
        if code not in met:
            met.add(code)
            recipe = book.recipe(code)
            if any(is_cold(step, station_of(step, book)) for step in recipe.steps):
                return True
            left += [line.recipe for line in recipe.lines if line.recipe is not None]
    return False


def asks_for_cold(product: Product, book: Book) -> bool:
    """Return whether it holds what asks for the cold, as far as allergens, USDA rows and names tell."""
    within = parts_of((fill.recipe for fill in product.fill), book)
    return bool(perishables([Held(product.name), *within]))
