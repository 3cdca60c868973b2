"""A recipe's batch as it cools: divided over vessels, in an ice bath first or not, through the steps that follow."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from catalog.cooling.as_stated import as_stated, short_notes
from catalog.cooling.cycles import rule_for
from catalog.cooling.hot_before import (
    HotPart,
    check_off_heat,
    goes_on_later,
    heat_notes,
    hot_before,
    is_hot_at,
    may_heat,
    since_judged,
)
from catalog.cooling.maybe_hot import heat_question
from catalog.cooling.missing import Missing, NotWorkedOut
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.part_heat import check_batch
from catalog.cooling.stages import (
    CoolingCycle,
    CycleStage,
    Made,
    Staged,
    ends_cold,
    is_cold,
    stages_after,
    station_of,
)
from catalog.cooling.warm_parts import open_heat, out_of_heat, recipe_goes_on_warm, warm_lines
from catalog.recipes.perishables import room_safe, unsourced
from catalog.records.reasons import Reason
from costing.chilling import (
    HOT_C,
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
    ice_kg,
    vessels_needed,
)
from costing.chilling import Vessel as Shape
from costing.chilling.ranges import at_point, times_to
from costing.chilling.vessels import BRIMFUL
from costing.contract import Book, Recipe, Step, Vessel

_GRAMS = 1000
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


def is_hot(recipe: Recipe, mixtures: RecipeMixtures) -> bool:
    """Return whether a batch has to cool: a step says how warm it leaves, or makes it hot, or takes in what is hot.

    What is safe at room temperature has no limit to keep, however warm a step leaves it.
    """
    if room_safe(recipe, mixtures.book):
        return False
    return bool(_starts(recipe, mixtures.book)) or hot_unsaid(recipe, mixtures) is not None


def _starts(recipe: Recipe, book: Book) -> list[int]:
    """Return the places of the steps after which a batch cools; not where what it makes goes on warm."""
    stated = (at for at, step in enumerate(recipe.steps) if step.leaves_c is not None)
    return [at for at in stated if not recipe_goes_on_warm(recipe, recipe.steps[at], book)]


def hot_unsaid(recipe: Recipe, mixtures: RecipeMixtures) -> Missing | None:
    """Return what is missing where a batch is hot and no step says how warm it leaves; None where nothing is.

    Nothing is where what it makes is used within the hour, or is safe at room temperature by its maker's word.
    """
    if room_safe(recipe, mixtures.book):
        return None
    found = _hot_unanswered(recipe, mixtures)
    if found is None:
        return None
    return unsourced_missing(recipe, mixtures.book) or found


def _hot_unanswered(recipe: Recipe, mixtures: RecipeMixtures) -> Missing | None:
    heated = open_heat(recipe.steps, mixtures.book)
    if heated is not None:
        if recipe_goes_on_warm(recipe, heated, mixtures.book):
            return None
        return Missing(Reason("not_said", {"step": str(heated)}), "recipe", recipe.code)
    answered = any(step.leaves_c is not None for step in recipe.steps)
    warm = [] if answered or not any(step.waits for step in recipe.steps) else warm_lines(recipe, mixtures)
    if not warm:
        asked = heat_question(recipe, mixtures)
        return None if asked is None else Missing(asked, "recipe", recipe.code)
    return Missing(Reason("part_not_said", {"part": warm[0].recipe.name, "recipe": recipe.name}), "recipe", recipe.code)


def unsourced_missing(recipe: Recipe, book: Book) -> Missing | None:
    """Return that the source is missing of a tick as safe at room temperature; None where it is not."""
    holds = unsourced(recipe, book)
    return Missing(Reason("no_source", {"part": recipe.name, "holds": holds}), "recipe", recipe.code) if holds else None


def is_heated(recipe: Recipe, mixtures: RecipeMixtures) -> bool:
    """Return whether a batch is warmer than the kitchen when it is made, not only a cold mixture that chills.

    What may be, and nobody stated it, counts as warmer.
    """
    room_c = float(mixtures.book.kitchen.described.room_c)
    warm = any(step.heats or float(step.leaves_c or 0) > room_c for step in recipe.steps)
    maybe = bool(warm_lines(recipe, mixtures)) or heat_question(recipe, mixtures) is not None
    return not room_safe(recipe, mixtures.book) and (warm or maybe)


def used_warm(recipe: Recipe, book: Book) -> Step | None:
    """Return the last step of a recipe where what it makes hot goes on warm instead of cooling; else None."""
    last = recipe.steps[-1] if recipe.steps and not room_safe(recipe, book) else None
    if last is None or (not last.heats and last.leaves_c is None):
        return None
    return last if recipe_goes_on_warm(recipe, last, book) else None


def batch_cycles(recipe: Recipe, kg: Fraction, mixture: Mixture, book: Book) -> list[CoolingCycle]:
    """Return the cooling cycles of one batch, one for each step with a leaving temperature.

    Raises
    ------
    NotWorkedOut
        When nobody said in what a hot batch cools, it does not fit, or a station's air or a cold stage is missing.
    """
    starts = (at for at in _starts(recipe, book) if not goes_on_later(recipe.steps, at, book))
    return [_cycle(Made(recipe, kg), recipe, at, mixture, book) for at in starts]


def _cycle(made: Made, recipe: Recipe, at: int, mixture: Mixture, book: Book) -> CoolingCycle:
    after, food = recipe.steps[at], food_of(mixture.percent, mixture.air)
    vessel = _vessel_of(recipe, after, book)
    fill, notes = _fill(recipe, after, vessel, float(made.amount), food)
    surroundings = fill.vessel.surroundings()
    begins, mixtures = since_judged(recipe.steps, at, book), RecipeMixtures(book)
    check_off_heat(made, at, book)
    check_batch(recipe, at, made, mixtures)
    # No step of a recipe says when a component goes in: what comes hot is in it from the start, until it was cold.
    warm = [] if begins else warm_lines(recipe, mixtures)
    heated = bool(warm) or any(may_heat(step) or is_hot_at(step, HOT_C) for step in recipe.steps[begins:at])
    rule = rule_for(recipe, after, book.kitchen.described, heated=heated)
    parts = [HotPart(0, out_of_heat(one)) for one in warm]
    before = hot_before(made, at, float(after.leaves_c or 0), rule, begins=begins, parts=parts)
    staged = stages_after(made, at, surroundings, book)
    bare = Plan(fill.body, food, float(after.leaves_c or 0), (), rule, surroundings, fill=fill, hot_before_min=before)
    if after.ice_bath:
        staged = _with_bath(recipe, at, bare, staged)
    elif not ends_cold(staged):
        untimed = next((step for step in recipe.steps[at + 1 :] if _lacks_minutes(step, book)), None)
        if untimed is not None:
            raise NotWorkedOut("no_cold_minutes", "recipe", recipe.code, step=str(untimed))
        raise NotWorkedOut("no_cold_stage", "recipe", recipe.code, step=str(after))
    judged = as_stated(bare, made, staged, book)
    notes, staged = [*notes, *short_notes(staged, judged)], judged
    stages = tuple(stage for _, stage in staged)
    plan = replace(bare, stages=tuple(stage.stage for stage in stages))
    return CoolingCycle(
        recipe, after, stages, staged[-1][0], plan, mixture, (*notes, *heat_notes(after, before)), heated
    )


def _lacks_minutes(step: Step, book: Book) -> bool:
    """Return whether a step is a stay in the cold of which nobody stated how long it is."""
    return is_cold(step, station_of(step, book)) and not (step.minutes or step.wait_min)


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
    """Divide a batch over its vessels: as many as stated, or more where its depth asks for more."""
    shape = replace(shape_of(vessel), lid=after.covered)
    deepest = None if after.depth_cm is None else float(after.depth_cm) * 10
    needed = vessels_needed(shape, kg, food.rho, deepest)
    stated = after.vessels
    # The depth is what keeps the rule: it goes before a number of vessels that would stand deeper.
    count = needed if stated is None else max(stated, needed if deepest is not None else 1)
    try:
        fill = filled(shape, kg, food.rho, count)
    except DoesNotFit as found:
        params = {"vessel": vessel.name, "count": count, "kg": kg, "holds": found.holds_kg, "needed": found.needed}
        params |= {"owned": vessel.owned}
        raise NotWorkedOut("does_not_fit", "recipe", recipe.code, **params) from found
    return fill, list(_odd(vessel, fill, deepest, stated))


def _odd(vessel: Vessel, fill: Fill, deepest: float | None, stated: int | None) -> Iterator[Reason]:
    if vessel.owned is None:
        yield Reason("owned_unknown", {"vessel": vessel.name})
    elif fill.count > vessel.owned:
        yield Reason("more_than_owned", {"count": fill.count, "owned": vessel.owned, "vessel": vessel.name})
    if stated is not None and fill.count > stated:
        most = {"most_mm": deepest, "count": fill.count, "stated": stated, "vessel": vessel.name}
        yield Reason("more_for_the_depth", most)
    share = fill.height_mm / fill.vessel.depth_mm
    if fill.is_brimful:
        yield Reason("brimful", {"share": share, "count": fill.count, "vessel": vessel.name, "most": BRIMFUL})


def vessels_short(cycle: CoolingCycle) -> Reason | None:
    """Return that a batch needs more vessels than the kitchen has; None where it does not, or it is not known."""
    return next((note for note in cycle.notes if note.code == "more_than_owned"), None)


def asks_how_many(cycle: CoolingCycle) -> bool:
    """Return whether a batch needs more vessels than there are, or nobody entered how many there are."""
    return any(note.code in ("owned_unknown", "more_than_owned") for note in cycle.notes)


def bath_ice_kg(cycle: CoolingCycle) -> float | None:
    """Return how much ice the ice bath of a batch melts [kg], without what the room melts; None without a bath."""
    plan = cycle.plan
    if plan.fill is None or all(stage.air_movement != ICE_BATH for stage in cycle.stages):
        return None
    to_c = plan.cold_c if cycle.after.bath_to_c is None else float(cycle.after.bath_to_c)
    return ice_kg(plan.fill.kg, plan.food, plan.initial_c, to_c)


def _with_bath(recipe: Recipe, at: int, bare: Plan, staged: list[Staged]) -> list[Staged]:
    """Put an ice bath before the stages, until it is as cold, or as long, as its step states.

    Where that states neither: until the first limit, or until it is cold where no cold stage follows.
    """
    after, cold = recipe.steps[at], ends_cold(staged)
    if not cold and after.bath_to_c is not None and float(after.bath_to_c) > bare.cold_c:
        raise NotWorkedOut("bath_ends_warm", "recipe", recipe.code, step=str(after), to_c=float(after.bath_to_c))
    # A last stage is taken to go on until it is cold; a bath that is stated to end before does not.
    minutes = bath_minutes(bare, after, first=cold)
    timed = after.bath_min is not None or (after.bath_to_c is None and after.wait_min)
    if not cold and timed and minutes < bath_minutes(bare, _unended(after), first=False):
        raise NotWorkedOut("bath_ends_early", "recipe", recipe.code, step=str(after), minutes=minutes)
    every = None if after.stir_min is None else float(after.stir_min)
    stage = bare.surroundings.stage(ICE_BATH, minutes, ICE_WATER_C, every)
    bath = CycleStage(after, None, minutes, ICE_WATER_C, ICE_BATH, stage)
    return [(at, bath), *(staged if cold else ())]


def _unended(after: Step) -> Step:
    return replace(after, bath_to_c=None, bath_min=None, wait_min=None)


def bath_minutes(plan: Plan, after: Step, *, first: bool) -> float:
    """Return how long a batch is in its ice bath [min]: as stated, or until it is as cold as stated, at the slow end.

    Where neither is stated: as long as it waits at least, else until the first limit of the rule (``first``), or until
    it is cold. It is never shorter than that wait.
    """
    waits = float(after.wait_min or 0)
    if after.bath_min is not None or (after.bath_to_c is None and waits):
        return max(float(after.bath_min or 0), waits)
    limit_c = plan.cold_c
    if after.bath_to_c is not None:
        limit_c = float(after.bath_to_c)
    elif first:
        limit_c = plan.rule.legs[0].to_c if plan.rule.legs else LUKEWARM_C
    every = None if after.stir_min is None else float(after.stir_min)
    stage = plan.surroundings.stage(ICE_BATH, LONGEST_MIN, ICE_WATER_C, every)
    case = Case(plan.body, plan.food, plan.initial_c, (stage,))
    ((minutes,),) = times_to([at_point(case, SLOW)], [limit_c])
    reached = LONGEST_MIN if minutes is None else ceil(max(minutes, 1.0) / _BATH_STEP) * float(_BATH_STEP)
    return max(reached, waits)
