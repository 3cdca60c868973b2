"""What goes into a recipe or product hot, how warm, and which hot steps nobody gave a leaving temperature."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from catalog.book.known import KnownByBook
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import is_cold
from costing.chilling import HOT_C, MixtureError, Part, food_of, mixed_start
from costing.contract import Book, Product, Recipe, Station, Step

#: What goes in may lose so much to the mold and the air while it is filled [°C]; own choice, more than any portion
#: loses in room air.
FILLING_C = 10.0
#: What has to be used so soon after it was heated goes on warm and does not cool as a batch [min]; own choice.
AT_ONCE_MIN = 60


@dataclass(frozen=True, slots=True)
class Warm:
    """A component that goes on hot: its recipe, the step, and how warm that leaves it [°C]; None where not stated."""

    recipe: Recipe
    step: Step
    celsius: float | None


def goes_on_warm(steps: Sequence[Step], step: Step) -> bool:
    """Return whether a hot step is the last, and what it makes is used within the hour and stands in no vessel."""
    standing = step.vessel is not None or step.ice_bath
    return step is steps[-1] and not standing and step.hold_max is not None and step.hold_max <= AT_ONCE_MIN


#: Whether recipes go on warm, by code.
_KNOWN: KnownByBook[str, bool] = KnownByBook()


def recipe_goes_on_warm(recipe: Recipe, step: Step, book: Book) -> bool:
    """Return whether a hot step is a recipe's last, and what it makes goes on warm: it does not cool as a batch.

    It is used within the hour and stands in no vessel; or each product that it fills takes it as it leaves the heat:
    what cools then is the product, whatever it was cooked in.
    """
    if goes_on_warm(recipe.steps, step):
        return True
    if step is not recipe.steps[-1]:
        return False
    known = _KNOWN.of(book)
    if recipe.code not in known:
        known[recipe.code] = _is_poured(recipe, step, book)
    return known[recipe.code]


def _is_poured(recipe: Recipe, last: Step, book: Book) -> bool:
    waits = max(last.wait_min or 0, last.hold_max or 0)
    inside = any(line.recipe == recipe.code for other in book.recipes for line in other.lines)
    if last.ice_bath or waits > AT_ONCE_MIN or inside:
        return False
    left_c = HOT_C if last.leaves_c is None else float(last.leaves_c)
    room_c = float(book.kitchen.described.room_c)
    least_c = max(min(HOT_C, left_c - FILLING_C), room_c)
    users = [product for product in book.products if any(fill.recipe == recipe.code for fill in product.fill)]
    return bool(users) and all(_takes_at(product, recipe.code) > least_c for product in users)


def _takes_at(product: Product, code: str) -> float:
    """Return how warm a product takes a recipe at the coldest [°C]; as cold as nothing is where no step says it."""
    stated = [step.takes_c for step in product.steps if code in step.takes]
    return min((-inf if found is None else float(found) for found in stated), default=-inf)


def open_heat(steps: Sequence[Step], book: Book) -> Step | None:
    """Return the first step that heats, and after which no step says how warm it leaves before it gets cold or ends."""
    found: Step | None = None
    for step in steps:
        if found is not None and is_cold(step, _station(step, book)):
            return found
        if step.heats:
            found = step
        if step.leaves_c is not None:
            found = None
    return found


def _station(step: Step, book: Book) -> Station | None:
    return None if step.station is None else book.station(step.station)


def warm_part(code: str, mixtures: RecipeMixtures) -> Warm | None:
    """Return how a recipe goes on hot into what is made from it; None where it goes on cold, or cools as a batch."""
    recipe = mixtures.book.recipe(code)
    hot = [step for step in recipe.steps if step.heats or step.leaves_c is not None]
    if hot:
        last = hot[-1]
        if not recipe_goes_on_warm(recipe, last, mixtures.book):
            return None
        return Warm(recipe, last, None if last.leaves_c is None else float(last.leaves_c))
    if any(step.waits for step in recipe.steps):
        return None
    found = warm_lines(recipe, mixtures)
    if not found:
        return None
    unsaid = next((warm for warm in found if warm.celsius is None), None)
    return unsaid or Warm(found[0].recipe, found[0].step, _together_c(recipe, mixtures))


def mixed_from_lines(recipe: Recipe, mixtures: RecipeMixtures) -> float | None:
    """Return how warm what goes into a recipe is mixed [°C]; None where nothing of it is stated to go in hot."""
    found = warm_lines(recipe, mixtures)
    return _together_c(recipe, mixtures) if any(warm.celsius is not None for warm in found) else None


def out_of_heat(warm: Warm) -> float | None:
    """Return how long a component of a recipe had left the heat as it goes in [min]; None where nothing says it.

    What is hot then left it as it went in; of what is only lukewarm nobody knows.
    """
    still_hot = warm.step.heats or warm.celsius is None or warm.celsius >= HOT_C
    return 0.0 if still_hot else None


def warm_lines(recipe: Recipe, mixtures: RecipeMixtures) -> list[Warm]:
    """Return the components of a recipe that go into it hot."""
    parts = (line.recipe for line in recipe.lines if line.recipe is not None)
    return [warm for code in parts if (warm := warm_part(code, mixtures)) is not None]


def _together_c(recipe: Recipe, mixtures: RecipeMixtures) -> float:
    """Return how warm a recipe is, mixed from hot components and what is as warm as the kitchen, by heat capacity."""
    room_c = float(mixtures.book.kitchen.described.room_c)
    parts, warmest = [], room_c
    for line in recipe.lines:
        warm = None if line.recipe is None else warm_part(line.recipe, mixtures)
        celsius = room_c if warm is None or warm.celsius is None else warm.celsius
        warmest = max(warmest, celsius)
        try:
            mixture = mixtures.line(line)
        except MixtureError:
            continue
        parts.append(Part(float(mixture.grams) / 1000, food_of(mixture.percent, mixture.air), celsius))
    return mixed_start(parts) if parts else warmest
