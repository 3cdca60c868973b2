"""The foods of the kitchen's written procedure in words: steps, vessel and depth, limits, who measures, time out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from catalog.cooling.batch_presenters import batches_words, bath_ice_words, vessels_words
from catalog.cooling.batches import vessels_short
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.selectors import ColdTime
from catalog.cooling.stages import CoolingCycle, CycleStage
from catalog.cooling.words import shape, stage_place
from catalog.web import display
from costing.chilling import AMBIENT, ICE_BATH, NOT_MET, Trial, Verdict, due_times
from orders.production.procedure import ProcedureBatch, ProcedureFood, Stand, UsedWarm

#: Verdict of a cooling -> what the procedure says of it; the others need no word.
_VERDICTS: Final[dict[Verdict, str]] = {
    NOT_MET: "By the estimate it does not keep the rule: it is not sold under this procedure until it is measured.",
    "likely": "By the estimate it keeps the rule as likely, not at the slow end: measure it each time.",
    "freezes": "By the estimate its rim freezes before its middle is cold: measure it.",
    "untimed": "The rule states no minutes: cool it as fast as you can, and write down how long it took.",
}
_NOT_WORKED_OUT: Final = "How it cools is not worked out: it is measured each time."


@dataclass(frozen=True, slots=True)
class FoodWritten:
    """A food in the procedure: how it is cooled and held, its limits, what is to be minded, how long it may be out."""

    name: str
    cooling: tuple[str, ...]
    limits: tuple[str, ...]
    mind: tuple[str, ...]
    out: str


@dataclass(frozen=True, slots=True)
class BatchWritten:
    """A full batch in the procedure: its amount, how it is cooled in what, its limits and what is to be minded."""

    name: str
    amount: str
    cooling: tuple[str, ...]
    limits: tuple[str, ...]
    mind: tuple[str, ...]


def food_written(food: ProcedureFood) -> FoodWritten:
    """Write a product that is cooled or held cold."""
    mind = [*map(_mind, food.cold.times), *_missing(food)]
    return FoodWritten(
        name=food.name,
        cooling=(*(_cycle(cycle, shape(cycle.plan.body)) for cycle in food.cycles), *_held(food)),
        limits=tuple(_limits(cycle, by) for cycle, by in zip(food.cycles, food.by, strict=True)),
        mind=tuple(dict.fromkeys(filter(None, mind))),
        out=_out(food),
    )


def _missing(food: ProcedureFood) -> Iterator[str]:
    if food.missing is not None:
        yield f"{_NOT_WORKED_OUT} {missing_sentence(food.missing)}"


def _held(food: ProcedureFood) -> Iterator[str]:
    if food.cycles:
        return
    if food.holding:
        yield " ".join(food.holding.split())
    if food.cold.holds_c is not None:
        yield f"Held at {display.temperature(food.cold.holds_c)} or colder."


def batch_written(batch: ProcedureBatch) -> BatchWritten:
    """Write a full batch of a recipe that is made hot."""
    times, missing = batch.cold.times, batch.cold.missing
    mind = [_mind_trial(each.trial, each.cycle) for each in times]
    mind += [note_sentence(short) for each in times if (short := vessels_short(each.cycle)) is not None]
    if missing is not None:
        mind.append(f"{_NOT_WORKED_OUT} {missing_sentence(missing)}")
    return BatchWritten(
        name=batch.cold.recipe.name,
        amount=batches_words(batch.cold.batches),
        cooling=tuple(_cycle(each.cycle, vessels_words(each.cycle)) for each in times),
        limits=tuple(_limits(each.cycle, by) for each, by in zip(times, batch.by, strict=True)),
        mind=tuple(dict.fromkeys(filter(None, mind))),
    )


def _cycle(cycle: CoolingCycle, body: str) -> str:
    """Write the steps of a cooling: how warm it begins, in what and how deep, then where for how long."""
    stages = "; ".join(_stage(stage, bath_ice_words(cycle)) for stage in cycle.stages)
    by = " By the rule for food made from ingredients at room temperature." if cycle.plan.rule.code == AMBIENT else ""
    inside = f" ({body})" if body else ""
    return f"Leaves “{cycle.after}” at {display.temperature(cycle.plan.initial_c)}{inside}; then {stages}.{by}"


def _stage(stage: CycleStage, ice: str) -> str:
    place = stage_place(stage)
    if stage.air_movement == ICE_BATH:
        every = stage.stage.stirred_every_min
        stirred = "not stirred" if every is None else f"stirred every {display.duration(every)}"
        return f"{place}, {stirred}, for about {display.duration(stage.minutes)}, {ice}"
    return f"“{stage.step}” in {place} at {display.temperature(stage.air_c)}, {display.duration(stage.minutes)}"


def _limits(cycle: CoolingCycle, by: str) -> str:
    """Write by when it is down at each limit, counted from the step it leaves, and who measures it."""
    begins, before = cycle.plan.case.hottest_c, cycle.plan.hot_before_min
    due = [
        f"{display.temperature(limit_c)} within {display.duration(minutes)}"
        for limit_c, minutes in due_times(cycle.plan.rule.legs, hot_before_min=before)
        if begins > limit_c
    ]
    words = ", ".join(due) or f"{display.temperature(cycle.plan.cold_c)}, as fast as it can be cooled"
    who = f" Measured by: {by}." if by else ""
    return f"{words}, from leaving “{cycle.after}”.{who}"


def _mind(time: ColdTime) -> str:
    if time.never:
        return _never(time.limit_c)
    return _VERDICTS.get(time.verdict, "")


def _mind_trial(found: Trial, cycle: CoolingCycle) -> str:
    if found.never:
        return _never(cycle.plan.cold_c)
    return _VERDICTS.get(found.verdict, "")


def _never(limit_c: float) -> str:
    return f"By the estimate it may never get to {display.temperature(limit_c)} there: mend that first."


def _out(food: ProcedureFood) -> str:
    out = food.cold.out
    if out is None:
        return "no limit: the air it goes into is cold" if food.cycles else "kept cold until it is served"
    if out.clause is None:
        return "kept cold until it is served"
    return f"{'less than' if out.under else 'at most'} {display.duration(out.allowed_minutes)}"


def warm_sentence(warm: UsedWarm) -> str:
    """Write that a batch is used warm, and until when."""
    hold = warm.step.hold_max or 0
    when = f"within {display.duration(hold)}" if hold else "at once"
    return f"{warm.name}: used warm, {when} after “{warm.step}”. What is left then is discarded."


def stand_sentence(stand: Stand, most_out: float | None) -> str:
    """Write how long something rests or waits, and how much of that may be out of the cold."""
    return f"{stand.name}: {', '.join(_stand_parts(stand, most_out))}."


def _stand_parts(stand: Stand, most_out: float | None) -> Sequence[str]:
    step = stand.step
    place = str(stand.station) if stand.station else "the kitchen"
    parts = []
    rest = (step.minutes or 0) + (step.wait_min or 0) if step.waits else 0
    if rest:
        parts.append(f"“{step}” in {place}, {display.duration(rest)}")
    if step.hold_max:
        after = "then waits" if rest else f"waits after “{step}”"
        parts.append(f"{after} {display.duration(step.hold_max)} at most")
        if most_out is None:
            parts.append("in the cold except while it is worked")
        elif step.hold_max > most_out:
            parts.append(f"of it {display.duration(most_out)} at most out of the cold")
    return parts
