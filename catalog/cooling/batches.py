"""A recipe's batch as it cools: divided over vessels, in an ice bath first or not, through the steps that follow."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from catalog.cooling.cycles import rule_for
from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.stages import CoolingCycle, CycleStage, Made, Staged, ends_cold, stages_after
from catalog.records.reasons import Reason
from costing.chilling import (
    ICE_BATH,
    ICE_WATER_C,
    LONGEST_MIN,
    LUKEWARM_C,
    SLOW,
    Case,
    DoesNotFit,
    Fill,
    Food,
    Mixture,
    Plan,
    filled,
    food_of,
    vessels_needed,
)
from costing.chilling import Vessel as Shape
from costing.chilling.ranges import at_point, times_to
from costing.contract import Book, Recipe, Step, Vessel
from costing.contract.steps import HEATING

_GRAMS = 1000
#: What has to be used so soon after it was heated goes on warm and does not cool as a batch [min]; own choice.
_AT_ONCE_MIN = 60
#: The minutes of an ice bath are rounded up to a multiple of this; own choice.
_BATH_STEP = 5


@dataclass(frozen=True, slots=True)
class Batches:
    """An amount of a recipe [g] as it is made: how many batches, all of one size."""

    grams: Fraction
    count: int

    @property
    def each_kg(self) -> Fraction:
        """Mass of one batch [kg]."""
        return self.grams / self.count / _GRAMS


def batches_of(recipe: Recipe, grams: Fraction, book: Book) -> Batches:
    """Divide an amount into as few batches as its limit allows."""
    limit = None if recipe.batch_limit is None else recipe.batch_limit.grams(book.kitchen.cup)
    return Batches(grams, 1 if not limit else max(1, ceil(grams / limit)))


def usual_grams(recipe: Recipe, written: Fraction, book: Book) -> Fraction:
    """Return the amount a page shows first [g]: a full batch, or the amount the recipe is written for."""
    return written if recipe.batch_limit is None else recipe.batch_limit.grams(book.kitchen.cup)


def is_hot(recipe: Recipe) -> bool:
    """Return whether a batch has to cool: a step says how warm it leaves, or makes it hot."""
    return any(step.leaves_c is not None for step in recipe.steps) or _unsaid(recipe) is not None


def _unsaid(recipe: Recipe) -> Step | None:
    """Return a step that makes a batch hot; none where it is the last, and what it makes is used within the hour.

    None either for what its maker says is safe at room temperature.
    """
    if recipe.shelf_stable:
        return None
    return next((step for step in recipe.steps if step.kind in HEATING and not _at_once(recipe, step)), None)


def _at_once(recipe: Recipe, step: Step) -> bool:
    return step is recipe.steps[-1] and step.hold_max is not None and step.hold_max <= _AT_ONCE_MIN


def used_warm(recipe: Recipe) -> Step | None:
    """Return the step after which a batch goes on warm instead of cooling; None for every other recipe."""
    if is_hot(recipe) or recipe.shelf_stable:
        return None
    return next((step for step in recipe.steps if step.kind in HEATING), None)


def batch_cycles(recipe: Recipe, kg: Fraction, mixture: Mixture, book: Book) -> list[CoolingCycle]:
    """Return the cooling cycles of one batch, one for each step with a leaving temperature.

    Raises
    ------
    NotWorkedOut
        When nobody said in what a hot batch cools, it does not fit, or a station's air or a cold stage is missing.
    """
    starts = [at for at, step in enumerate(recipe.steps) if step.leaves_c is not None]
    if not starts and (hot := _unsaid(recipe)):
        raise NotWorkedOut("not_said", "recipe", recipe.code, step=str(hot))
    return [_cycle(Made(recipe, kg), recipe, at, mixture, book) for at in starts]


def _cycle(made: Made, recipe: Recipe, at: int, mixture: Mixture, book: Book) -> CoolingCycle:
    after, food = recipe.steps[at], food_of(mixture.percent, mixture.air)
    vessel = _vessel_of(recipe, after, book)
    fill, notes = _fill(recipe, after, vessel, float(made.amount), food)
    surroundings = fill.vessel.surroundings()
    rule = rule_for(recipe, after, book.kitchen.described)
    staged = stages_after(made, at, surroundings, book)
    bare = Plan(fill.body, food, float(after.leaves_c or 0), (), rule, surroundings, fill=fill)
    if after.ice_bath:
        staged = _with_bath(at, after, bare, staged)
    elif not ends_cold(staged):
        raise NotWorkedOut("no_cold_stage", "recipe", recipe.code, step=str(after))
    stages = tuple(stage for _, stage in staged)
    plan = Plan(fill.body, food, bare.initial_c, tuple(stage.stage for stage in stages), rule, surroundings, fill=fill)
    return CoolingCycle(recipe, after, stages, staged[-1][0], plan, mixture, tuple(notes))


def _vessel_of(recipe: Recipe, after: Step, book: Book) -> Vessel:
    if after.vessel is None:
        raise NotWorkedOut("no_vessel", "recipe", recipe.code, step=str(after))
    return book.vessel(after.vessel)


def shape_of(vessel: Vessel) -> Shape:
    """Return a vessel as the computation takes it.

    Raises
    ------
    NotWorkedOut
        When its inside measures are not entered.
    """
    sizes = [None if size is None else float(size) * 10 for size in _sizes(vessel)]
    height, diameter, length, width = sizes
    if height is None or (diameter is None and (length is None or width is None)):
        raise NotWorkedOut("no_vessel_sizes", "vessel", vessel.name, vessel=vessel.name)
    # Only a round bowl has the shape of one.
    kind = "tub" if vessel.kind == "bowl" and diameter is None else vessel.kind
    return Shape(kind, height, length or 0.0, width or 0.0, diameter or 0.0, vessel.wall)


def _sizes(vessel: Vessel) -> tuple[Fraction | None, ...]:
    return vessel.height_cm, vessel.diameter_cm, vessel.length_cm, vessel.width_cm


def _fill(recipe: Recipe, after: Step, vessel: Vessel, kg: float, food: Food) -> tuple[Fill, list[Reason]]:
    """Divide a batch over its vessels: as many as stated, or as many as its depth or their rims ask for."""
    shape = shape_of(vessel)
    deepest = None if after.depth_cm is None else float(after.depth_cm) * 10
    needed = vessels_needed(shape, kg, food.rho, deepest)
    count = needed if after.vessels is None else after.vessels
    try:
        fill = filled(shape, kg, food.rho, count)
    except DoesNotFit as found:
        params = {"vessel": vessel.name, "count": count, "kg": kg, "holds": found.holds_kg, "needed": found.needed}
        raise NotWorkedOut("does_not_fit", "recipe", recipe.code, **params) from found
    return fill, list(_odd(vessel, fill, deepest, needed))


def _odd(vessel: Vessel, fill: Fill, deepest: float | None, needed: int) -> Iterator[Reason]:
    if fill.count > vessel.owned:
        yield Reason("more_than_owned", {"count": fill.count, "owned": vessel.owned, "vessel": vessel.name})
    if deepest is not None and fill.count < needed:
        yield Reason("deeper_than_stated", {"most_mm": deepest, "now_mm": fill.height_mm, "needed": needed})


def _with_bath(at: int, after: Step, bare: Plan, staged: list[Staged]) -> list[Staged]:
    """Put an ice bath before the stages: until the first limit, or until it is cold where no cold stage follows."""
    cold = ends_cold(staged)
    first = bare.rule.legs[0].to_c if bare.rule.legs else LUKEWARM_C
    minutes = bath_minutes(bare, after.stir_min, first if cold else bare.cold_c)
    every = None if after.stir_min is None else float(after.stir_min)
    stage = bare.surroundings.stage(ICE_BATH, minutes, ICE_WATER_C, every)
    bath = CycleStage(after, None, minutes, ICE_WATER_C, ICE_BATH, stage)
    return [(at, bath), *(staged if cold else ())]


def bath_minutes(plan: Plan, every: Fraction | None, limit_c: float) -> float:
    """Return how long a batch is in its ice bath until it is down at a limit, at the slow end [min]."""
    stirred = None if every is None else float(every)
    stage = plan.surroundings.stage(ICE_BATH, LONGEST_MIN, ICE_WATER_C, stirred)
    case = Case(plan.body, plan.food, plan.initial_c, (stage,))
    ((minutes,),) = times_to([at_point(case, SLOW)], [limit_c])
    return LONGEST_MIN if minutes is None else ceil(max(minutes, 1.0) / _BATH_STEP) * float(_BATH_STEP)
