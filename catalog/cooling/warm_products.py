"""A product that takes in what is hot, at a step that does not say how warm it leaves: what it starts to cool with."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction

from catalog.cooling.contents import Contents, Top, part_at
from catalog.cooling.hot_before import HotPart, is_hot_at, may_heat, minutes_between, since_judged
from catalog.cooling.missing import Missing
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import Made, is_cold
from catalog.cooling.warm_parts import Warm, goes_on_warm, warm_part
from catalog.recipes.perishables import all_room_safe
from catalog.records.reasons import Reason
from costing.chilling import COLD_C, HOT_C, Part, mixed_start
from costing.contract import Book, Product, Step


@dataclass(slots=True)
class WarmStarts:
    """Places of steps from which a product cools although they do not say how warm it is; and what is unanswered."""

    at: list[int] = field(default_factory=list)
    unsaid: Missing | None = None


def warm_starts(product: Product, mixtures: RecipeMixtures) -> WarmStarts:
    """Go through a product's steps: what goes in hot or is heated, and is not answered before it gets cold."""
    if all_room_safe((fill.recipe for fill in product.fill), mixtures.book):
        return WarmStarts()
    if not product.steps:
        return WarmStarts(unsaid=_without_steps(product, mixtures))
    walk, joins, stable = _Walk(product), joins_of(product), True
    for at, step in enumerate(product.steps):
        goes_in = joins.get(at, ())
        stable = stable and all_room_safe(goes_in, mixtures.book)
        warm = [found for code in goes_in if (found := _goes_in(code, step, mixtures, on_cold=walk.cold)) is not None]
        walk.go(at, step, [] if stable else warm, in_cold=_in_cold(step, mixtures), stable=stable)
    if not goes_on_warm(product.steps, product.steps[-1]):
        walk.settle()
    return walk.found


def is_hot_made(product: Product, mixtures: RecipeMixtures) -> bool:
    """Return whether something in a product is hot while it is made: a step, or what goes in.

    Not where all that fills it is safe at room temperature by its maker's word.
    """
    room_c = float(mixtures.book.kitchen.described.room_c)
    if product.fill and all_room_safe((fill.recipe for fill in product.fill), mixtures.book):
        return False
    stated = [float(found) for step in product.steps for found in (step.leaves_c, step.takes_c) if found is not None]
    heated = any(step.heats for step in product.steps) or any(found > room_c for found in stated)
    return heated or any(warm_part(fill.recipe, mixtures) is not None for fill in product.fill)


def _without_steps(product: Product, mixtures: RecipeMixtures) -> Missing | None:
    warm = next((warm for fill in product.fill if (warm := warm_part(fill.recipe, mixtures))), None)
    if warm is None:
        return None
    return Missing(Reason("no_step_takes_hot", {"part": warm.recipe.name}), "product", product.code)


def _goes_in(code: str, step: Step, mixtures: RecipeMixtures, *, on_cold: bool) -> Warm | None:
    """Return what goes in at a step warmer than the kitchen, or onto what was in the cold (``on_cold``) not cold."""
    found = warm_part(code, mixtures)
    if step.takes_c is None or code not in step.takes:
        return found
    taken_c = float(step.takes_c)
    if found is not None:
        return Warm(found.recipe, found.step, max(taken_c, found.celsius or taken_c))
    room_c = float(mixtures.book.kitchen.described.room_c)
    warm = taken_c > (COLD_C if on_cold else room_c)
    return Warm(mixtures.book.recipe(code), step, taken_c) if warm else None


def heated_in(product: Product, at: int, last: int, mixtures: RecipeMixtures) -> bool:
    """Return whether something comes hot into what cools after a step until the step ``last``: it is cooked food.

    The hottest part counts, not the mixture. What was in the cold since it went in, or was heated, is not hot any more.
    """
    steps = product.steps
    cold = [place for place in range(at) if _in_cold(steps[place], mixtures)]
    begins = cold[-1] + 1 if cold else 0
    if any(may_heat(step) for step in steps[heat_begins(product, at, mixtures.book) : at + 1]):
        return True
    parts = ((place, code) for place, codes in joins_of(product).items() if begins <= place <= last for code in codes)
    return any(_comes_hot(code, steps[place], mixtures) for place, code in parts)


def heat_begins(product: Product, at: int, book: Book) -> int:
    """Return the place of the first step, up to one, since a product was cold after all of its stated heat.

    Heat of what is safe at room temperature by then is of no account.
    """
    joins = joins_of(product)

    def stable(place: int) -> bool:
        return all_room_safe((code for before, codes in joins.items() if before <= place for code in codes), book)

    return since_judged(product.steps, at, book, stable)


def _comes_hot(code: str, step: Step, mixtures: RecipeMixtures) -> bool:
    recipe, found = mixtures.book.recipe(code), _goes_in(code, step, mixtures, on_cold=False)
    if found is None:
        return False
    heated = any(each.heats for each in recipe.steps) or warm_part(code, mixtures) is not None
    return heated or (found.celsius or 0) >= HOT_C


def hot_parts(product: Product, begins: int, last: int, mixtures: RecipeMixtures) -> Iterator[HotPart]:
    """Yield the components that come hot at steps from ``begins`` to ``last``, with how long they had left the heat."""
    for place, codes in joins_of(product).items():
        for code in codes if begins <= place <= last else ():
            if _comes_hot(code, product.steps[place], mixtures):
                yield HotPart(place, _out_of_heat(product, code, place, mixtures))


def _out_of_heat(product: Product, code: str, place: int, mixtures: RecipeMixtures) -> float | None:
    """Return how long a component had left the heat when it goes in hot [min]; None where its steps do not say it.

    What was cooled as a batch was judged there, and what is mixed from hot components left the heat as it was mixed.
    """
    found, warm = _goes_in(code, product.steps[place], mixtures, on_cold=False), warm_part(code, mixtures)
    if found is None or warm is None or warm.recipe.code != code or warm.step.heats:
        return 0.0
    if found.celsius is None or found.celsius >= HOT_C:
        return 0.0
    recipe = warm.recipe
    units = next((fill.amount.grams(mixtures.book.kitchen.cup) for fill in product.fill if fill.recipe == code), 0)
    made, last = Made(recipe, Fraction(units) * (product.load or 1) / 1000), recipe.steps.index(warm.step)
    heats = [at for at, step in enumerate(recipe.steps[:last]) if is_hot_at(step, HOT_C)]
    since = minutes_between(made, heats[-1], last) if heats else 0.0
    return since + float(warm.step.hold_max or 0) if since else None


@dataclass(slots=True)
class _Walk:
    """What is hot at a step and waits for an answer; ``left_c`` is how warm the body was last stated to leave [°C].

    ``cold`` once it was in the cold.
    """

    product: Product
    found: WarmStarts = field(default_factory=WarmStarts)
    at: int | None = None
    unsaid: Missing | None = None
    left_c: float | None = None
    cold: bool = False

    def go(self, at: int, step: Step, warm: list[Warm], *, in_cold: bool, stable: bool) -> None:
        """Go through a step and what goes in hot at it; ``stable`` while all in it is safe at room temperature."""
        if in_cold:
            self.settle()
            self.cold = True
        for one in warm:
            self._take(one, at)
        if step.leaves_c is not None:
            self.at, self.unsaid, self.left_c = None, None, float(step.leaves_c)
        elif step.heats and not stable:
            reason = Reason("leaves_not_said", {"step": str(step)})
            self.unsaid = Missing(reason, "product", self.product.code)

    def _take(self, warm: Warm, at: int) -> None:
        # What is no warmer than the body was stated to be counts as that warm: the cautious way.
        if warm.celsius is not None and self.left_c is not None and warm.celsius <= self.left_c:
            return
        self.at = at
        if warm.celsius is None:
            reason = Reason("part_leaves_not_said", {"part": warm.recipe.name, "step": str(warm.step)})
            self.unsaid = self.unsaid or Missing(reason, "recipe", warm.recipe.code)

    def settle(self) -> None:
        """Note what is unanswered, or from where it cools."""
        if self.unsaid is not None:
            self.found.unsaid = self.found.unsaid or self.unsaid
        elif self.at is not None:
            self.found.at.append(self.at)
        self.at = self.unsaid = self.left_c = None


def joins_of(product: Product) -> dict[int, list[str]]:
    """Return at which step each component goes in; what no step takes is there from the start.

    Where no step takes anything, all goes in where it is filled.
    """
    taken = {code for step in product.steps for code in step.takes}
    fills = (at for at, step in enumerate(product.steps) if step.kind == "fill")
    first = 0 if taken else next(fills, 0)
    joins = {at: list(step.takes) for at, step in enumerate(product.steps)}
    rest = [fill.recipe for fill in product.fill if fill.recipe not in taken]
    joins[first] = [*joins.get(first, ()), *rest]
    return joins


def _in_cold(step: Step, mixtures: RecipeMixtures) -> bool:
    return is_cold(step, None if step.station is None else mixtures.book.station(step.station))


def warm_contents(product: Product, at: int, last: int, mixtures: RecipeMixtures) -> Contents:
    """Return what is in a product after a step, and how warm that follows from each of its components.

    Raises
    ------
    MixtureError
        When nothing of it has a composition, or a recipe loses more than its water.
    """
    joins = joins_of(product)
    goes_in = {code: place for place, codes in joins.items() for code in codes}
    before = [code for code, place in goes_in.items() if place < at]
    added = [code for code, place in goes_in.items() if at <= place <= last]
    warm = {code: _part_c(product, code, goes_in[code], at, mixtures) for code in (*before, *added)}
    step = product.steps[at]
    if before and added and step.takes and step.takes_as == "layer":
        lower, upper = (_mixed(product, codes, warm, mixtures) for codes in (before, added))
        top = Top(upper.mixture, upper.food, upper.share, upper.initial_c)
        found = Contents(lower.mixture, lower.food, lower.initial_c, lower.share + upper.share, top)
    else:
        found = _mixed(product, [*before, *added], warm, mixtures)
    hot = tuple(hot_names(added, product, mixtures))
    start_c = max(found.initial_c, COLD_C if found.top is None else found.top.initial_c)
    note = Reason("start_follows", {"hot": hot, "start_c": start_c})
    return Contents(found.mixture, found.food, found.initial_c, found.share, found.top, (note,), (*before, *added))


def hot_names(codes: list[str], product: Product, mixtures: RecipeMixtures) -> Iterator[str]:
    """Yield the names of those of some components that go in hot."""
    goes_in = {code: place for place, found in joins_of(product).items() for code in found}
    for code in codes:
        if _goes_in(code, product.steps[goes_in[code]], mixtures, on_cold=True) is not None:
            yield mixtures.book.recipe(code).name


def mixed_at(product: Product, codes: list[str], at: int, mixtures: RecipeMixtures) -> float:
    """Return how warm components are together at a step [°C], each as it goes in, whatever a step says it leaves at.

    Raises
    ------
    MixtureError
        When nothing of one has a composition.
    """
    bare = replace(product, steps=tuple(replace(step, leaves_c=None) for step in product.steps))
    goes_in = {code: place for place, found in joins_of(product).items() for code in found}
    warm = {code: _part_c(bare, code, goes_in[code], at, mixtures) for code in codes}
    return _mixed(product, codes, warm, mixtures).initial_c


def _mixed(product: Product, codes: list[str], warm: dict[str, float], mixtures: RecipeMixtures) -> Contents:
    each = [part_at(product, [code], warm[code], mixtures) for code in codes]
    start_c = mixed_start([Part(one.mixture.grams / 1000, one.food, one.initial_c) for one in each])
    return part_at(product, codes, start_c, mixtures)


def _part_c(product: Product, code: str, place: int, at: int, mixtures: RecipeMixtures) -> float:
    """Return how warm a component is at a step [°C]: cold after a stay in the cold, else as it went in, or as left."""
    steps = product.steps
    since = steps[place : at + 1]
    # What goes in at this very step is not cold yet, wherever it stands.
    cold = [index for index, step in enumerate(since) if _in_cold(step, mixtures) and place + index < at]
    left = [float(step.leaves_c) for step in since[cold[-1] if cold else 0 : -1] if step.leaves_c is not None]
    if left:
        return left[-1]
    if cold:
        return COLD_C
    warm = _goes_in(code, steps[place], mixtures, on_cold=True)
    if warm is not None and warm.celsius is not None:
        return warm.celsius
    stated = steps[place].takes_c if code in steps[place].takes else None
    if stated is not None:
        return float(stated)
    recipe = mixtures.book.recipe(code)
    room_c = float(mixtures.book.kitchen.described.room_c)
    return COLD_C if recipe.steps and _in_cold(recipe.steps[-1], mixtures) else room_c
