"""Batches that are made hot, in words for the sheets: vessels, depth, both limits with clock times, the verdict."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil
from typing import Final

from catalog.cooling.batch_presenters import batches_words, vessels_words
from catalog.cooling.batch_reports import BatchTimes
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.words import VERDICTS, likely_time, slow_time, stage_place
from catalog.web import display
from costing.chilling import ICE_BATH, Profile, Verdict, due_times
from orders.production.batches import BatchRow
from orders.production.tasks import Task

#: Verdict of the rule in force -> what is said after it, and whether it has to be marked.
_VERDICTS: Final[dict[Verdict, tuple[str, bool]]] = {
    "kept": ("", False),
    "likely": (" Measure it.", True),
    "not kept": ("", True),
    "untimed": (" Cool it as fast as you can.", False),
    "freezes": ("", True),
}


@dataclass(frozen=True, slots=True)
class CoolingShown:
    """One cooling of a batch: where it stands, until when it has to be down at each limit, and the rule's verdict."""

    after: str
    vessels: str
    places: str
    leaves: str
    limits: str
    takes: str
    verdict: str
    marked: bool
    notes: tuple[str, ...]
    check_c: float


@dataclass(frozen=True, slots=True)
class BatchShown:
    """The batches of a recipe; ``missing`` says why it is not known how they cool. ``grams`` is for the link."""

    name: str
    recipe_id: int
    amount: str
    grams: int
    missing: str
    cools: tuple[CoolingShown, ...]


def batches_shown(rows: Iterable[BatchRow]) -> list[BatchShown]:
    """Write the batches that are made hot."""
    return [
        BatchShown(
            name=row.cold.recipe.name,
            recipe_id=row.recipe_id,
            amount=batches_words(row.cold.batches),
            grams=max(1, round(row.cold.batches.grams)),
            missing="" if row.cold.missing is None else missing_sentence(row.cold.missing),
            cools=tuple(_shown(times, ends) for times, ends in row.times),
        )
        for row in rows
    ]


@dataclass(frozen=True, slots=True)
class ColdPart:
    """A step of a component in the cold: how long at least, and until it is how cold where cooling takes longer."""

    task: Task
    amount: str
    least: str
    until: str = ""


def cold_parts(parts: Iterable[tuple[Task, str]], rows: Iterable[BatchRow]) -> list[ColdPart]:
    """Write how long the components chill: as stated, or as the batch cools at the slow end if that is longer."""
    cooling = {(row.cold.recipe.code, times.cycle.last_at): times for row in rows for times, _ in row.times}
    return [_part(task, amount, cooling.get((task.of.code, task.place))) for task, amount in parts]


def _part(task: Task, amount: str, times: BatchTimes | None) -> ColdPart:
    stated = task.step.wait_min or task.step.minutes
    least = display.duration(stated) if stated else ""
    if times is None:
        return ColdPart(task, amount, least)
    slow, cycle = times.trial.cold_slow, times.cycle
    until = f"until its middle is at {display.temperature(cycle.plan.cold_c)}"
    if slow is None:
        return ColdPart(task, amount, "", until)
    minutes = ceil(slow - cycle.before_last)
    longer = minutes > cycle.stages[-1].minutes
    return ColdPart(task, amount, display.duration(minutes), until) if longer else ColdPart(task, amount, least)


def _shown(times: BatchTimes, ends: datetime | None) -> CoolingShown:
    cycle, trial = times.cycle, times.trial
    after, marked = _VERDICTS[trial.verdict]
    limit = display.temperature(cycle.plan.cold_c)
    takes = f"{limit} after {likely_time(trial.cold_likely)}, slow end {slow_time(trial.cold_slow)}"
    return CoolingShown(
        after=str(cycle.after),
        vessels=vessels_words(cycle),
        places=", then ".join(_places(times)),
        leaves="" if ends is None else display.moment(ends),
        limits=", ".join(_limits(cycle.plan.rule, cycle.plan.initial_c, ends)),
        takes="" if trial.freezes else takes,
        verdict=f"{VERDICTS[trial.verdict]}{after}",
        marked=marked,
        notes=tuple(map(note_sentence, cycle.notes)),
        check_c=cycle.plan.cold_c,
    )


def _places(times: BatchTimes) -> Iterator[str]:
    for stage in times.cycle.stages:
        place = stage_place(stage)
        if stage.air_movement == ICE_BATH:
            every = stage.stage.stirred_every_min
            stirred = "" if every is None else f", stirred every {display.duration(every)}"
            yield f"{place} for about {display.duration(stage.minutes)}{stirred}"
        else:
            yield place


def _limits(rule: Profile, initial_c: float, ends: datetime | None) -> Iterator[str]:
    """Write until when it has to be down at each limit, counted from the moment it leaves the heat, to be safe."""
    for limit_c, minutes in due_times(rule.legs):
        if initial_c > limit_c:
            yield f"{display.temperature(limit_c)} {_by(minutes, ends)}"


def _by(minutes: float, ends: datetime | None) -> str:
    if ends is None:
        return f"within {display.duration(minutes)}"
    moment = ends + timedelta(minutes=minutes)
    same = display.day(moment) == display.day(ends)
    return f"by {display.clock(moment) if same else display.moment(moment)}"
