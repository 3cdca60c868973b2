"""A product's cooling cycles: the body is what is in it at the time, the stages are the steps that follow."""

from contextlib import suppress
from dataclasses import replace
from fractions import Fraction

from catalog.cooling.as_stated import as_stated, check_chilled, short_notes
from catalog.cooling.contents import Contents, contents_at, room_safe_at
from catalog.cooling.hot_before import check_off_heat, goes_on_later, heat_notes, hot_before
from catalog.cooling.missing import Missing, NotWorkedOut
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.mold_bodies import body_in, check_rim, height_of, mold_of
from catalog.cooling.part_heat import colder_than_parts
from catalog.cooling.restated import check_restated
from catalog.cooling.stages import CoolingCycle, Made, Staged, ends_cold, is_cold, stages_after, station_of
from catalog.cooling.warm_products import heat_begins, heated_in, hot_parts, warm_contents, warm_starts
from catalog.records.reasons import Reason
from costing.chilling import (
    AMBIENT,
    COOKED,
    HOT_C,
    PROFILES,
    Layer,
    MixtureError,
    Plan,
    Surroundings,
    food_of,
)
from costing.chilling import Profile as Rule
from costing.contract import Product, Profile, Recipe, Step


def cycles_of(product: Product, mixtures: RecipeMixtures) -> list[CoolingCycle]:
    """Return the product's cooling cycles: for each step with a leaving temperature, or at which hot parts go in.

    Of the latter only those that can be worked out; `warmed_missing` names what is missing for the others. What is safe
    at room temperature has no limit to keep.

    Raises
    ------
    NotWorkedOut
        When a mold, a height, a station's air or a cold stage is missing, or a step states what cannot be.
    MixtureError
        When nothing of it has a composition, or a recipe loses more than its water.
    """
    steps, book = product.steps, mixtures.book
    check_restated(product, mixtures)
    colder = colder_than_parts(product, mixtures)
    if colder is not None:
        raise NotWorkedOut(colder.reason.code, colder.kind, colder.thing, **colder.reason.params)
    stated = [
        at
        for at, step in enumerate(steps)
        if step.leaves_c is not None and not goes_on_later(steps, at, book) and not room_safe_at(product, at, book)
    ]
    _check_chills(product, stated, mixtures)
    found = {at: _cycle(product, at, mixtures, warmed=False) for at in stated}
    for at in warm_starts(product, mixtures).at:
        with suppress(NotWorkedOut):
            found[at] = _cycle(product, at, mixtures, warmed=True)
    return [found[at] for at in sorted(found)]


def warmed_missing(product: Product, mixtures: RecipeMixtures) -> Missing | None:
    """Return what is missing to work out how a product cools after a step at which hot parts go in; None if nothing."""
    for at in warm_starts(product, mixtures).at:
        try:
            _cycle(product, at, mixtures, warmed=True)
        except NotWorkedOut as found:
            return found.missing
        except MixtureError as error:
            return Missing(Reason("mixture", {"message": str(error)}), "product", product.code)
    return None


def _cycle(product: Product, at: int, mixtures: RecipeMixtures, *, warmed: bool) -> CoolingCycle:
    mold, made = mold_of(product, mixtures.book), Made(product, product_load(product))
    surroundings = Surroundings(mold.wall, product.stands_on, product.covered)
    staged = stages_after(made, at, surroundings, mixtures.book)
    if not ends_cold(staged):
        raise NotWorkedOut("no_cold_stage", "product", product.code, step=str(product.steps[at]))
    found = _through(product, at, staged, mixtures, warmed=warmed)
    judged = as_stated(found.plan, made, staged, mixtures.book)
    if len(judged) == len(staged):
        return found
    longer = _through(product, at, judged, mixtures, warmed=warmed)
    return replace(longer, notes=(*longer.notes, *short_notes(staged, judged)))


def _check_chills(product: Product, stated: list[int], mixtures: RecipeMixtures) -> None:
    """Check each stay in the cold that is itself stated to leave at a temperature, from the statement before it on."""
    steps, book, mold = product.steps, mixtures.book, mold_of(product, mixtures.book)
    surroundings = Surroundings(mold.wall, product.stands_on, product.covered)
    for later in stated:
        before = [at for at in range(later) if steps[at].leaves_c is not None]
        if not is_cold(steps[later], station_of(steps[later], book)) or not before:
            continue
        at = before[-1]
        bare = replace(product, steps=(*steps[:later], replace(steps[later], leaves_c=None), *steps[later + 1 :]))
        staged = stages_after(Made(bare, product_load(product)), at, surroundings, book)
        until = [one for one in staged if one[0] <= later]
        if until and until[-1][0] == later and float(steps[at].leaves_c or 0) > float(steps[later].leaves_c or 0):
            made = Made(product, product_load(product))
            check_chilled(_through(bare, at, until, mixtures, warmed=False).plan, steps[later], made)


def _through(
    product: Product, at: int, staged: list[Staged], mixtures: RecipeMixtures, *, warmed: bool
) -> CoolingCycle:
    """Return the cycle after a step through some stages."""
    book, after = mixtures.book, product.steps[at]
    mold = mold_of(product, book)
    whole = mixtures.portion(product.code)
    height_mm, odd = height_of(product, mold, whole, food_of(whole.percent, whole.air))
    surroundings = Surroundings(mold.wall, product.stands_on, product.covered)
    made = Made(product, product_load(product))
    check_off_heat(made, at, book)
    contents = (warm_contents if warmed else contents_at)(product, at, staged[-1][0], mixtures)
    in_it = contents.share + (0 if contents.top is None else contents.top.share)
    odd += check_rim(product, mold, whole, food_of(whole.percent, whole.air), in_it)
    heated = heated_in(product, at, staged[-1][0], mixtures)
    rule = rule_for(product, after, book.kitchen.described, heated=heated)
    top = _top(contents, height_mm)
    start_c = contents.initial_c if top is None else max(contents.initial_c, top.initial_c)
    plan = Plan(
        body=body_in(mold, height_mm * contents.share),
        food=contents.food,
        initial_c=contents.initial_c,
        stages=tuple(stage.stage for _, stage in staged),
        rule=rule,
        surroundings=surroundings,
        top=top,
        hot_before_min=_hot_before(product, (at, staged[-1][0]), start_c, rule, mixtures),
    )
    stages = tuple(stage for _, stage in staged)
    notes, recipes = (*odd, *contents.notes, *heat_notes(after, plan.hot_before_min)), contents.recipes
    above = None if contents.top is None else contents.top.mixture
    return CoolingCycle(product, after, stages, staged[-1][0], plan, contents.mixture, notes, heated, recipes, above)


def _hot_before(product: Product, span: tuple[int, int], start_c: float, rule: Rule, mixtures: RecipeMixtures) -> float:
    at, last = span
    begins = heat_begins(product, at, mixtures.book)
    parts = hot_parts(product, begins, last, mixtures)
    return hot_before(Made(product, product_load(product)), at, start_c, rule, begins=begins, parts=parts)


def product_load(product: Product) -> Fraction:
    """Return the units of a product made at once."""
    return Fraction(product.load or 1)


def _top(contents: Contents, height_mm: float) -> Layer | None:
    if contents.top is None:
        return None
    return Layer(contents.top.food, height_mm * contents.top.share, contents.top.initial_c)


def rule_for(of: Product | Recipe, after: Step, profile: Profile, *, heated: bool = False) -> Rule:
    """Return the food-safety rule for the cycle after a step, in the kitchen's air and with the limit of the house.

    ``heated`` when a component of it was, whatever the step says.
    """
    hot = is_cooked(after, heated=heated)
    stated = of.cooling_rule if isinstance(of, Product) else ""
    return rule_of(profile, cooked=stated == "cooked" or (not stated and hot))


def is_cooked(after: Step, *, heated: bool = False) -> bool:
    """Return whether what begins to cool after a step was cooked; ``heated`` as in ``rule_for``."""
    return heated or after.heats or float(after.leaves_c or 0) >= HOT_C


def rule_of(profile: Profile, *, cooked: bool = True) -> Rule:
    """Return the food-safety rule of a kitchen; ``cooked`` says which where there is one for cooked food."""
    code = (COOKED if cooked else AMBIENT) if profile.food_safety == "us" else profile.food_safety
    rule = PROFILES[code].in_room(float(profile.room_c))
    return rule.with_house_limit(profile.time_out_minutes, profile.time_out_source)
