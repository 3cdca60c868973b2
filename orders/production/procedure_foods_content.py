"""The foods of the kitchen's written procedure in words: steps, vessel and depth, limits, who measures, time out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.batch_presenters import batches_words, bath_ice_words, vessels_words
from catalog.cooling.batches import vessels_short
from catalog.cooling.missing_presenters import note_sentence
from catalog.cooling.selectors import ColdTime
from catalog.cooling.stages import CoolingCycle, CycleStage
from catalog.cooling.words import shape, stage_name, stage_place
from catalog.web import display
from costing.chilling import AMBIENT, ICE_BATH, NOT_MET, Trial, Verdict, due_times
from orders.production.procedure import ProcedureBatch, ProcedureFood, Stand, UsedWarm

#: Verdict of a cooling -> what the procedure says of it; the others need no word.
_VERDICTS: Final[dict[Verdict, str]] = {
    NOT_MET: marked(
        "By the estimate it does not meet the rule: do not sell it under this procedure until it is measured."
    ),
    "likely": marked("By the estimate it likely meets the rule, but not if it cools slowly: measure it each time."),
    "freezes": marked("By the estimate the outside freezes before the core is cold: measure it."),
    "untimed": marked("The rule states no minutes: cool it as fast as you can, and write down how long it took."),
}
#: Why is said once, at the top.
_NOT_WORKED_OUT: Final = marked("Its cooling has no estimate: measure it each time. See “Not settled” at the top.")


_COLD_UNTIL_SERVED: Final = marked("kept cold until it is served")


@dataclass(frozen=True, slots=True)
class FoodWritten:
    """A food in the procedure: how it is cooled and held, its limits, what is to be minded, how long it may be out."""

    name: str
    cooling: tuple[str, ...]
    limits: tuple[str, ...]
    mind: tuple[str, ...]
    out: str
    parts: tuple["PartWritten", ...] = ()


@dataclass(frozen=True, slots=True)
class PartWritten:
    """A batch that goes into a food and does not keep the rule: what is the matter with it, and its row's anchor."""

    sentence: str
    anchor: str


@dataclass(frozen=True, slots=True)
class BatchWritten:
    """A full batch in the procedure: its amount, how it is cooled in what, its limits and what is to be minded."""

    name: str
    amount: str
    cooling: tuple[str, ...]
    limits: tuple[str, ...]
    mind: tuple[str, ...]
    anchor: str = ""
    #: What goes into a batch is named in the rows of the desserts that it ends in.
    parts: tuple[PartWritten, ...] = ()


def food_written(food: ProcedureFood) -> FoodWritten:
    """Write a product that is cooled or held cold."""
    mind = [*map(_mind, food.cold.times), *_missing(food)]
    return FoodWritten(
        name=food.name,
        cooling=(*(_cycle(cycle, shape(cycle.plan.body)) for cycle in food.cycles), *_held(food)),
        limits=tuple(_limits(cycle, by) for cycle, by in zip(food.cycles, food.by, strict=True)),
        mind=tuple(dict.fromkeys(filter(None, mind))),
        out=_out(food),
        parts=tuple(PartWritten(part_sentence(one), batch_anchor(one)) for one in food.parts),
    )


def batch_anchor(batch: ProcedureBatch) -> str:
    """Return the anchor of a batch's row."""
    return f"batch-{batch.cold.recipe.code}"


def part_sentence(batch: ProcedureBatch) -> str:
    """Write of a batch that goes into a food what is the matter with it."""
    if batch.cold.missing is not None:
        text = gettext("%(batch)s, a batch that goes in, has no estimate of its cooling. It is named by itself.")
        return text % {"batch": batch.cold.recipe.name}
    words = {"batch": batch.cold.recipe.name, "why": " ".join(batch_written(batch).mind)}
    return gettext("%(batch)s, a batch that goes in: %(why)s") % words


def _missing(food: ProcedureFood) -> Iterator[str]:
    if food.missing is not None:
        yield gettext(_NOT_WORKED_OUT)


def _held(food: ProcedureFood) -> Iterator[str]:
    if food.cycles:
        return
    if food.holding:
        yield " ".join(food.holding.split())
    if food.cold.holds_c is not None:
        yield gettext("Held at %(limit)s or colder.") % {"limit": display.temperature(food.cold.holds_c)}


def batch_written(batch: ProcedureBatch) -> BatchWritten:
    """Write a full batch of a recipe that is made hot."""
    times, missing = batch.cold.times, batch.cold.missing
    mind = [_mind_trial(each.trial, each.cycle) for each in times]
    mind += [note_sentence(short) for each in times if (short := vessels_short(each.cycle)) is not None]
    if missing is not None:
        mind.append(gettext(_NOT_WORKED_OUT))
    return BatchWritten(
        name=batch.cold.recipe.name,
        amount=batches_words(batch.cold.batches),
        cooling=tuple(_cycle(each.cycle, vessels_words(each.cycle)) for each in times),
        limits=tuple(_limits(each.cycle, by) for each, by in zip(times, batch.by, strict=True)),
        mind=tuple(dict.fromkeys(filter(None, mind))),
        anchor=batch_anchor(batch),
    )


def _cycle(cycle: CoolingCycle, body: str) -> str:
    """Write the steps of a cooling: how warm it begins, in what and how deep, then where for how long."""
    stages = "; ".join(_stage(stage, bath_ice_words(cycle)) for stage in cycle.stages)
    words = {
        "step": cycle.after,
        "start": _start(cycle),
        "body": body,
        "stages": stages,
    }
    if body:
        text = gettext("After “%(step)s” at %(start)s (%(body)s); then %(stages)s.")
    else:
        text = gettext("After “%(step)s” at %(start)s; then %(stages)s.")
    if cycle.plan.rule.code != AMBIENT:
        return text % words
    return f"{text % words} {gettext('By the rule for food made from ingredients at room temperature.')}"


def _start(cycle: CoolingCycle) -> str:
    """Write how warm it begins; of two layers each."""
    below = display.temperature(cycle.plan.initial_c)
    if cycle.plan.top is None:
        return below
    words = {"top": display.temperature(cycle.plan.top.initial_c), "below": below}
    return gettext("%(top)s in the top layer and %(below)s below it") % words


def _stage(stage: CycleStage, ice: str) -> str:
    place = stage_place(stage)
    if stage.air_movement == ICE_BATH:
        every = stage.stage.stirred_every_min
        words = {"place": place, "time": display.duration(stage.minutes), "ice": ice}
        if every is None:
            return gettext("%(place)s, not stirred, for about %(time)s, %(ice)s") % words
        words["every"] = display.duration(every)
        return gettext("%(place)s, stirred every %(every)s, for about %(time)s, %(ice)s") % words
    return gettext("“%(step)s” in %(place)s at %(air)s, %(time)s") % {
        "step": stage_name(stage),
        "place": place,
        "air": display.temperature(stage.air_c),
        "time": display.duration(stage.minutes),
    }


def _limits(cycle: CoolingCycle, by: str) -> str:
    """Write by when it is down at each limit, counted from the step it leaves, and who measures it."""
    begins, before = cycle.plan.case.hottest_c, cycle.plan.hot_before_min
    due = [
        gettext("%(limit)s within %(time)s")
        % {"limit": display.temperature(limit_c), "time": display.duration(minutes)}
        for limit_c, minutes in due_times(cycle.plan.rule.legs, hot_before_min=before)
        if begins > limit_c
    ]
    cold = {"limit": display.temperature(cycle.plan.cold_c)}
    limits = ", ".join(due) or gettext("%(limit)s as fast as possible") % cold
    words = {"limits": limits, "step": cycle.after, "by": by}
    if by:
        return gettext("%(limits)s after “%(step)s”. Measured by: %(by)s.") % words
    return gettext("%(limits)s after “%(step)s”.") % words


def _mind(time: ColdTime) -> str:
    if time.never:
        return _never(time.limit_c)
    return gettext(_VERDICTS[time.verdict]) if time.verdict in _VERDICTS else ""


def _mind_trial(found: Trial, cycle: CoolingCycle) -> str:
    if found.never:
        return _never(cycle.plan.cold_c)
    return gettext(_VERDICTS[found.verdict]) if found.verdict in _VERDICTS else ""


def _never(limit_c: float) -> str:
    text = gettext("By the estimate it may never get to %(limit)s there: fix that first.")
    return text % {"limit": display.temperature(limit_c)}


def _out(food: ProcedureFood) -> str:
    out = food.cold.out
    if out is None:
        return gettext("no limit: the air around it is cold") if food.cycles else gettext(_COLD_UNTIL_SERVED)
    if out.clause is None:
        return gettext(_COLD_UNTIL_SERVED)
    most = gettext("less than %(time)s") if out.under else gettext("at most %(time)s")
    return most % {"time": display.duration(out.allowed_minutes)}


def warm_sentence(warm: UsedWarm) -> str:
    """Write that a batch is used warm, and until when."""
    hold = warm.step.hold_max or 0
    words = {"name": warm.name, "step": warm.step, "time": display.duration(hold)}
    if hold:
        text = gettext("%(name)s: used warm, within %(time)s of “%(step)s”. What is left then is discarded.")
    else:
        text = gettext("%(name)s: used warm, right after “%(step)s”. What is left then is discarded.")
    return text % words


def stand_sentence(stand: Stand, most_out: float | None) -> str:
    """Write how long something rests or waits, and how much of that may be out of the cold."""
    words = {"name": stand.name, "parts": ", ".join(_stand_parts(stand, most_out))}
    return gettext("%(name)s: %(parts)s.") % words


def _stand_parts(stand: Stand, most_out: float | None) -> Sequence[str]:
    step = stand.step
    place = str(stand.station) if stand.station else gettext("the kitchen")
    parts = []
    rest = (step.minutes or 0) + (step.wait_min or 0) if step.waits else 0
    if rest:
        words = {"step": step, "place": place, "time": display.duration(rest)}
        parts.append(gettext("“%(step)s” in %(place)s, %(time)s") % words)
    if step.hold_max:
        words = {"step": step, "time": display.duration(step.hold_max)}
        held = gettext("then held at most %(time)s") if rest else gettext("held at most %(time)s after “%(step)s”")
        parts.append(held % words)
        if most_out is None:
            parts.append(gettext("in the cold except while it is worked on"))
        elif step.hold_max > most_out:
            parts.append(gettext("at most %(time)s of it out of the cold") % {"time": display.duration(most_out)})
    return parts
