"""A stated “leaves at” of a product or recipe that is colder than what goes in hot can be by then."""

from fractions import Fraction

from catalog.cooling.contents import room_safe_at
from catalog.cooling.hot_before import minutes_between, since_cold
from catalog.cooling.missing import Missing, NotWorkedOut
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import Made, is_cold, station_of
from catalog.cooling.warm_parts import FILLING_C, mixed_from_lines, warm_lines
from catalog.cooling.warm_products import hot_names, joins_of, mixed_at
from catalog.records.errors import LeavesColder
from catalog.records.reasons import Reason
from costing.chilling import MixtureError
from costing.contract import Book, Product, Recipe, Step
from costing.timing.steps import clock_minutes

#: It loses so much more for each minute until the end of the step [°C/min]; own choice, more than any portion does.
COOLS_C_PER_MIN = 1.0


def colder_than_parts(product: Product, mixtures: RecipeMixtures) -> Missing | None:
    """Return the first step that is stated to leave colder than what goes in hot can be; None where none is.

    What goes in counts as mixed, by mass and heat capacity. Nothing gets colder than the kitchen before it is in the
    cold.
    """
    book, made = mixtures.book, Made(product, Fraction(product.load or 1))
    for at, step in enumerate(product.steps):
        if step.leaves_c is None or is_cold(step, station_of(step, book)) or room_safe_at(product, at, book):
            continue
        found = _parts_c(product, at, made, mixtures)
        if found is not None and float(step.leaves_c) < found[1]:
            params = {"step": str(step), "stated_c": float(step.leaves_c), "parts_c": found[0]}
            hot = hot_names(_codes(product, at, mixtures), product, mixtures)
            return Missing(Reason("colder_than_parts", {**params, "hot": tuple(hot)}), "product", product.code)
    return None


def check_batch(recipe: Recipe, at: int, made: Made, mixtures: RecipeMixtures) -> None:
    """Refuse a batch of which a step is stated to leave colder than the hot components that go in can be by then.

    They count as mixed, by mass and heat capacity, and as in it from the first step.

    Raises
    ------
    NotWorkedOut
        When it is.
    """
    book, step = mixtures.book, recipe.steps[at]
    cooled_first = any(one.ice_bath or is_cold(one, station_of(one, book)) for one in recipe.steps[:at])
    mixed_c = None if cooled_first or is_cold(step, station_of(step, book)) else mixed_from_lines(recipe, mixtures)
    if mixed_c is None or step.leaves_c is None:
        return
    minutes = _step_minutes(recipe.steps[0], made) + minutes_between(made, 0, at)
    if float(step.leaves_c) < _least_c(mixed_c, minutes, book):
        hot = tuple(warm.recipe.name for warm in warm_lines(recipe, mixtures))
        facts = {"step": str(step), "stated_c": float(step.leaves_c), "parts_c": mixed_c, "hot": hot}
        raise NotWorkedOut("colder_than_parts", "recipe", recipe.code, **facts)


def check_leaves(book: Book, code: str) -> None:
    """Refuse a product of a Book of which a step is stated to leave colder than what goes in hot can be.

    Raises
    ------
    LeavesColder
        For the first such step.
    """
    found = colder_than_parts(book.product(code), RecipeMixtures(book))
    if found is not None:
        raise LeavesColder(**found.reason.params)


def _codes(product: Product, at: int, mixtures: RecipeMixtures) -> list[str]:
    """Return what went in since it was in the cold; what goes in beside what the step leaves is not in that."""
    begins = since_cold(product.steps, at, mixtures.book)
    step = product.steps[at]
    joins = joins_of(product)
    before = [code for place in range(begins, at) for code in joins.get(place, ())]
    beside = step.takes_c is not None and any(joins.get(place) for place in range(at))
    return before if beside else [*before, *joins.get(at, ())]


def _parts_c(product: Product, at: int, made: Made, mixtures: RecipeMixtures) -> tuple[float, float] | None:
    """Return how warm what goes in is mixed, and at least at the end of a step [°C]; None where none is hot."""
    codes, places = _codes(product, at, mixtures), joins_of(product)
    if not list(hot_names(codes, product, mixtures)):
        return None
    first = min(place for place, found in places.items() if set(found) & set(codes))
    every = [code for place, found in places.items() if place <= at for code in found]
    if product.steps[at].takes_c is not None and any(places.get(place) for place in range(at)):
        every = [code for place, found in places.items() if place < at for code in found]
    try:
        mixed_c = mixed_at(product, every, at, mixtures)
    except MixtureError:
        return None
    minutes = _step_minutes(product.steps[first], made) + minutes_between(made, first, at)
    return mixed_c, _least_c(mixed_c, minutes, mixtures.book)


def _least_c(mixed_c: float, minutes: float, book: Book) -> float:
    """Return how warm what went in at a temperature is at least after some minutes out of the cold [°C]."""
    room_c = float(book.kitchen.described.room_c)
    return max(mixed_c - FILLING_C - COOLS_C_PER_MIN * minutes, min(mixed_c, room_c) - 1.0)


def _step_minutes(step: Step, made: Made) -> float:
    return float(clock_minutes(step, 1, made.amount))
