"""Checks a scenario that could be read: what never exists, needs in a circle, a plan that breaks a rule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from costing.contract.errors import Path
from costing.plan.checking import (
    ABSENT,
    HOURS,
    NEED,
    PAST,
    SHELF_LIFE,
    STAY,
    TEMPERATURE,
    TOO_MUCH,
    WINDOW,
    Violation,
    violations,
)
from costing.plan.clocks import Clock
from costing.plan.planned import plan_so_far
from costing.plan.problem import HANDS, Element, Kitchen, Problem
from costing.plan.scenario_batches import ReadBatch
from costing.plan.scenario_reading import ScenarioReading


def check_sizes(reading: ScenarioReading, kitchen: Kitchen, read: Sequence[ReadBatch]) -> None:
    """Record what takes more places, hands or minutes than ever exist.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    kitchen : Kitchen
        What there is.
    read : sequence of ReadBatch
        The batches.
    """
    most = {one.code: one.places * (1 if one.divided or one.levels else one.count) for one in kitchen.resources}
    hands = {use.amount for one in read for element in one.elements for use in element.uses if use.resource == HANDS}
    shifts = {amount: _longest(kitchen, amount) for amount in sorted(hands)}
    places: set[Path] = set()
    for batch in read:
        if batch.path in places:
            continue
        places.add(batch.path)
        fixed = "/uses/" in batch.code
        for at, element in enumerate(batch.elements):
            path = batch.path if fixed else (*batch.path, "steps", at)
            _check_element(reading, element, path, most, {} if fixed else shifts, fixed=fixed)


def _check_element(
    reading: ScenarioReading,
    element: Element,
    path: Path,
    most: Mapping[str, int],
    shifts: Mapping[int, int],
    *,
    fixed: bool,
) -> None:
    for use in element.uses:
        if use.amount > most[use.resource]:
            place = (*path, "amount") if fixed else (*path, "uses", use.resource)
            message = f"This takes {use.amount} of {use.resource}, and there are {most[use.resource]}. Take less."
            reading.note("too_large", place, message)
        elif use.resource == HANDS and element.least > shifts.get(use.amount, element.least):
            message = (
                f"This step takes {use.amount} of hands for {element.least} minutes, and they are there for"
                f" {shifts[use.amount]} at most. Divide the step."
            )
            reading.note("too_large", (*path, "min"), message)


def _longest(kitchen: Kitchen, hands: int) -> int:
    """Return the longest time for which so many hands are there without a break [min]."""
    levels = next(one.levels or () for one in kitchen.resources if one.code == HANDS)
    times = sorted({time for level in levels for time in (level.begin, level.end)})
    longest = run = 0
    for begin, end in pairwise(times):
        there = sum(level.amount for level in levels if level.begin <= begin < level.end)
        run = run + end - begin if there >= hands else 0
        longest = max(longest, run)
    return longest


def cycles(reading: ScenarioReading, read: Sequence[ReadBatch]) -> None:
    """Record needs that go in a circle.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    read : sequence of ReadBatch
        The batches.
    """
    needs = {one.id: [batch for batch, _ in one.needs] for one in read if one.id}
    paths = {one.id: one.path for one in read if one.id}
    done: set[str] = set()
    for start in needs:
        trail = _circle(needs, start, done)
        if trail:
            loop = " → ".join(trail)
            message = f"These batches need each other in a circle: {loop}. Take one need away."
            reading.note("needs_cycle", (*paths[trail[0]], "needs"), message)


def _circle(needs: Mapping[str, Sequence[str]], start: str, done: set[str]) -> list[str]:
    """Return the batches of a circle, the first once more at the end; nothing when there is none."""
    waiting = [(start, iter(needs[start]))] if start not in done else []
    trail = [start] if waiting else []
    while waiting:
        batch, others = waiting[-1]
        other = next(others, None)
        if other is None:
            done.add(batch)
            waiting.pop()
            trail.pop()
        elif other in trail:
            found = [*trail[trail.index(other) :], other]
            done.update(trail)
            return found
        elif other not in done and other in needs:
            waiting.append((other, iter(needs[other])))
            trail.append(other)
    return []


def check_plan(reading: ScenarioReading, problem: Problem, clock: Clock, paths: Mapping[str, Path]) -> None:
    """Record which rules the plan so far breaks, and when.

    Parameters
    ----------
    reading : ScenarioReading
        Where errors go.
    problem : Problem
        What is promised.
    clock : Clock
        The kitchen's clock.
    paths : mapping of str to tuple
        The place of each batch.
    """
    plan = plan_so_far(problem)
    unused = {place.code for place in plan.placed if place.component and not place.takings}
    for found in violations(problem, plan):
        if found.kind != ABSENT and not (found.kind == NEED and found.batch in unused):
            path = paths[found.batch]
            place = path if "uses" in path else (*path, "plan")
            reading.note("overfull", place, _sentence(found, clock.text(found.at)))


def _sentence(found: Violation, at: str) -> str:
    sentences = {
        WINDOW: f"The plan so far leaves at {at}, outside its window or not together. Correct one of them.",
        STAY: f"In the plan so far the step from {at} lasts {found.needed} minutes. Give it what the step may last.",
        HOURS: f"In the plan so far a step begins at {at}, and nobody is there. Correct it, or the hours.",
        TOO_MUCH: f"The plan so far takes {found.needed} of {found.resource} at {at}, and there are {found.free}.",
        TEMPERATURE: f"In the plan so far {found.resource} has two temperatures at {at}. Correct it.",
        NEED: f"In the plan so far something is used at {at} that is not ready, too old or missing. Correct it.",
        SHELF_LIFE: f"In the plan so far something leaves at {at} that is {found.needed} minutes old. Correct it.",
        PAST: f"In the plan so far a step begins at {at}, before now. Correct it.",
    }
    return sentences.get(found.kind, f"The plan so far breaks a rule at {at}. Correct it.")
