"""A product that is stated to leave a step colder than it can have got since the step before that stated it."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from catalog.cooling.contents import Contents, contents_at, part_at, room_safe_at
from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.mold_bodies import body_in, height_of, mold_of
from catalog.cooling.stages import Made, is_cold, stages_after, station_of
from costing.chilling import LONGEST_MIN, Layer, Stage, Surroundings, food_of
from costing.chilling.conduction import Case
from costing.chilling.ranges import FAST, at_point, times_to
from costing.contract import Product


def check_restated(product: Product, mixtures: RecipeMixtures) -> None:
    """Check each stated temperature against the one before it, where no stay in the cold lies between.

    What cools until then is what was there before. What goes in cold counts against the stated temperature only where
    it is mixed in and nothing was baked: a baked thing is solid, and its middle stays hot beside a cold filling.

    Raises
    ------
    NotWorkedOut
        When it is colder than the fast end of the estimate allows; or when a mold or its measures are missing.
    MixtureError
        When nothing of it has a composition, or a recipe loses more than its water.
    """
    for before, later in _pairs(product, mixtures):
        needed, minutes = _minutes_to(product, before, later, mixtures)
        if needed is None or needed > minutes:
            steps = product.steps
            names = {"step": str(steps[later]), "before": str(steps[before])}
            stated = {"stated_c": float(steps[later].leaves_c or 0), "before_c": float(steps[before].leaves_c or 0)}
            raise NotWorkedOut("cooled_too_soon", "product", product.code, **names, **stated, minutes=minutes)


def _pairs(product: Product, mixtures: RecipeMixtures) -> Iterator[tuple[int, int]]:
    """Yield the places of two steps of which the later states a colder temperature, in the room all the while."""
    book, before = mixtures.book, None
    for at, step in enumerate(product.steps):
        if is_cold(step, station_of(step, book)):
            before = None
            continue
        if step.leaves_c is None:
            continue
        colder = before is not None and step.leaves_c < (product.steps[before].leaves_c or 0)
        # A sponge alone is safe at room temperature, and hot beneath the cream that is put on it all the same.
        safe = before is None or (room_safe_at(product, before, book) and room_safe_at(product, at, book))
        if before is not None and colder and not safe and _holds(product, before):
            yield before, at
        before = at


def _holds(product: Product, at: int) -> bool:
    """Return whether something is in a product by the end of a step."""
    later = {code for step in product.steps[at + 1 :] for code in step.takes}
    return any(fill.recipe not in later for fill in product.fill)


def _minutes_to(product: Product, before: int, later: int, mixtures: RecipeMixtures) -> tuple[float | None, float]:
    """Return in what time it can be that cold at the fast end, None where never, and what its steps state [min]."""
    book, steps = mixtures.book, product.steps
    mold = mold_of(product, book)
    surroundings = Surroundings(mold.wall, product.stands_on, product.covered)
    bare = replace(product, steps=(*steps[:later], replace(steps[later], leaves_c=None), *steps[later + 1 :]))
    staged = stages_after(Made(bare, Fraction(product.load or 1)), before, surroundings, book)
    stages = tuple(one.stage for at, one in staged if at <= later)
    room = surroundings.stage("room", 1.0, float(book.kitchen.described.room_c))
    contents = contents_at(product, before, before, mixtures)
    whole = mixtures.portion(product.code)
    height_mm, _ = height_of(product, mold, whole, food_of(whole.percent, whole.air))
    found = contents.top
    top = None if found is None else Layer(found.food, height_mm * found.share, found.initial_c)
    body = body_in(mold, height_mm * contents.share)
    case = Case(body, contents.food, contents.initial_c, _longer(stages or (room,)), top)
    ((minutes,),) = times_to([at_point(case, FAST)], [_to_reach(product, contents, later, mixtures)])
    return minutes, sum(stage.minutes for stage in stages)


def _to_reach(product: Product, contents: Contents, later: int, mixtures: RecipeMixtures) -> float:
    """Return how cold what was there has to be for a step to leave as stated, with what is mixed in at it [°C]."""
    step = product.steps[later]
    stated_c = float(step.leaves_c or 0)
    baked = any(each.kind == "bake" for each in product.steps[: later + 1])
    if baked or step.takes_c is None or not step.takes or step.takes_as == "layer":
        return stated_c
    added = part_at(product, list(step.takes), float(step.takes_c), mixtures)
    share = added.mixture.grams * added.food.cp / (contents.mixture.grams * contents.food.cp)
    return stated_c + max(0.0, stated_c - added.initial_c) * share


def _longer(stages: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """Return stages of which the last goes on for as long as cooling is followed."""
    *before, last = stages
    return (*before, replace(last, minutes=LONGEST_MIN))
