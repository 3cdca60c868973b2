"""Simulation of cooling and warming: times to limits, time out of the cold, and whether the rim freezes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from costing.chilling import places
from costing.chilling.bodies import Body, Stage
from costing.chilling.composition import Food
from costing.chilling.conduction import Case, Run, Timeline
from costing.chilling.crossings import Pass, Passed, Track, even_grid, soon_grid, warm_stage
from costing.chilling.layers import Layer
from costing.chilling.lobatto import Floats
from costing.chilling.profiles import COLD_C

FREEZES_C = -2.0
"""Where the model stops [°C]: below about -2 the water of a sweet, creamy dessert begins to freeze; own estimate, to be
taken as a bound of the model, not as a property of a recipe."""

COLD_START_C = 3.0
"""Temperature all through of food that comes out of the cold [°C]; common practice, no source."""

WARM_UPS: dict[str, Stage] = {
    "room_25C": Stage(720, 25, 9, 9, 5),
    "vehicle_30C": Stage(720, 30, 9, 9, 5),
}
"""Out of the cold, uncovered: a warm room and a warm vehicle for twelve hours. Films as in still air with radiation,
textbook natural convection from memory. Their films are the same, so one solution serves both."""

OUTSIDE = (places.RIM, places.DEEP, places.MEAN, places.CENTRE)
"""Places whose warming is followed within a schedule."""

WARMED = (*OUTSIDE, places.CORE)
"""Places whose warming is followed by itself: also the coldest point of the axis, which is the core of the unit."""


def follow(timeline: Timeline, minutes: Sequence[float] = ()) -> Track:
    """Compute temperatures of cases from start to end; the first case cools, the others are warming units.

    Parameters
    ----------
    timeline : Timeline
        Solved cases, for example a `Run`.
    minutes : sequence of float, optional
        Times of the first case that must be grid points [min].

    Returns
    -------
    Track
        Rows as `places.temperatures` gives them.
    """
    first, *others = timeline.cases
    grids = [np.asarray(minutes, dtype=np.float64), _even(timeline, 0)]
    warm = warm_stage(first.stages)
    if warm is not None:
        grids.append(soon_grid(float(timeline.starts[warm]), first.stages[warm].minutes))
    grids += [_soon(timeline, 1 + at) for at in range(len(others))]
    return Track(lambda times: places.temperatures(timeline, times), np.sort(np.concatenate(grids)))


def _even(timeline: Timeline, case: int) -> Floats:
    return even_grid(timeline.starts[timeline.items_of(case)].tolist(), timeline.cases[case].stages)


def _soon(timeline: Timeline, case: int) -> Floats:
    return soon_grid(timeline.span_of(case)[0], timeline.cases[case].stages[0].minutes)


def follow_units(timeline: Timeline) -> Track:
    """Compute temperatures of warming units.

    Parameters
    ----------
    timeline : Timeline
        Cases of one stage each, as `warm_unit` gives them.

    Returns
    -------
    Track
        Rows as `places.temperatures` gives them.
    """
    grid = np.concatenate([_soon(timeline, case) for case in range(len(timeline.cases))])
    return Track(lambda times: places.temperatures(timeline, times), grid)


def cooling_passes(timeline: Timeline, row: int, limits: Sequence[float], case: int = 0) -> list[Pass]:
    """List the limits that a row may pass while a case cools, until the food is first taken out of the cold.

    Parameters
    ----------
    timeline : Timeline
        Solved cases, for example a `Run`.
    row : int
        A row of the track.
    limits : sequence of float
        Temperatures [°C].
    case : int, optional
        Position of the case, from 0.

    Returns
    -------
    list of Pass
        One for each limit.
    """
    stages, items = timeline.cases[case].stages, timeline.items_of(case)
    warm = warm_stage(stages)
    last = len(stages) if warm is None else warm
    since, until = float(timeline.starts[items.start]), float(timeline.ends[items.start + last - 1])
    return [Pass(row, limit, since=since, until=until) for limit in limits]


def core_times(run: Run, limits: Sequence[float]) -> list[float | None]:
    """Find when the core first falls through temperatures while cooling.

    Parameters
    ----------
    run : Run
        A solved case.
    limits : sequence of float
        Temperatures [°C].

    Returns
    -------
    list of float or None
        A time for each [min]; None when it begins below or does not fall so far.
    """
    return core_times_on(run, limits)[0]


def core_times_of(cases: Sequence[Case], limits: Sequence[float]) -> list[list[float | None]]:
    """Find when the cores of several cases first fall through temperatures while cooling.

    Parameters
    ----------
    cases : sequence of Case
        One or more, whose bodies have as many directions as each other.
    limits : sequence of float
        Temperatures [°C].

    Returns
    -------
    list of list of float or None
        For each case a time for each limit [min]; None when it begins below or does not fall so far.
    """
    return core_times_on(Timeline(cases), limits)


def core_times_on(timeline: Timeline, limits: Sequence[float]) -> list[list[float | None]]:
    """Find when the cores of solved cases first fall through temperatures while cooling.

    Parameters
    ----------
    timeline : Timeline
        Solved cases.
    limits : sequence of float
        Temperatures [°C].

    Returns
    -------
    list of list of float or None
        For each case a time for each limit, from its own begin [min]; None when it begins below or does not fall so
        far.
    """
    cases = range(len(timeline.cases))
    grid = np.concatenate([_even(timeline, case) for case in cases])
    track = Track(lambda times: places.core(timeline, times), grid)
    found = minutes_of(track.passes([one for case in cases for one in cooling_passes(timeline, 0, limits, case)]))
    begins = [timeline.span_of(case)[0] for case in cases]
    each = [found[at : at + len(limits)] for at in range(0, len(found), len(limits))]
    return [[time and time - begin for time in times] for begin, times in zip(begins, each, strict=True)]


def minutes_of(passed: Sequence[Passed | None]) -> list[float | None]:
    """Return the times of limits passed.

    Parameters
    ----------
    passed : sequence of Passed or None
        Limits passed, or not.

    Returns
    -------
    list of float or None
        A time for each [min].
    """
    return [None if one is None else one.minute for one in passed]


def warm_unit(body: Body, food: Food, stage: Stage, top: Layer | None = None) -> Case:
    """Return the unit case from which any warming of a body under the same films can be computed.

    By linearity a body warms as a body at 1 degree cools in air of 0 degrees. The coldest point of the warming body is
    the core of the unit.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    stage : Stage
        A warm stage; its air temperature is ignored.
    top : Layer or None, optional
        A layer that lies on it; its temperature is ignored.

    Returns
    -------
    Case
        The unit case.
    """
    above = None if top is None else replace(top, initial_c=1.0)
    return Case(body, food, 1.0, (replace(stage, ambient_c=0.0),), above, warming=True)


def warm_pass(row: int, limit: float, air_c: float, start_c: float, span: tuple[float, float] = (0.0, inf)) -> Pass:
    """Return the pass of a unit that corresponds to a place rising above a temperature.

    Parameters
    ----------
    row : int
        A row of what is followed.
    limit : float
        The temperature [°C], not below `start_c`.
    air_c : float
        The air's temperature [°C].
    start_c : float
        Temperature all through at minute 0 [°C].
    span : tuple of float, optional
        Start and end of the unit [min].

    Returns
    -------
    Pass
        A pass that never occurs when the air is not warmer than the limit.
    """
    return Pass(row, (air_c - limit) / (air_c - start_c) if air_c > limit else -inf, True, *span)


def warm_up(
    body: Body, food: Food, stage: Stage, airs_c: Sequence[float], start_c: float = COLD_START_C
) -> list[list[float | None]]:
    """Find how long cold food stays cold in a warm stage, for each of several air temperatures.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    stage : Stage
        A warm stage; its air temperature is ignored.
    airs_c : sequence of float
        Temperatures of the air, each above `start_c` [°C].
    start_c : float, optional
        Temperature all through at minute 0 [°C], not above 5 °C.

    Returns
    -------
    list of list of float or None
        For each air the times at which rim, ten millimetres in, mean, centre and coldest point of the axis rise
        above 5 °C [min]; None when it does not within that stage.
    """
    timeline = Timeline([warm_unit(body, food, stage)])
    wanted = [warm_pass(row, COLD_C, air, start_c) for air in airs_c for row in WARMED]
    found = minutes_of(follow_units(timeline).passes(wanted))
    return [found[at : at + len(WARMED)] for at in range(0, len(found), len(WARMED))]


@dataclass(frozen=True, slots=True)
class Excursion:
    """Time out of the cold within a schedule; each list for the places of `OUTSIDE`.

    Parameters
    ----------
    stage : int
        Position of the warm stage, from 0.
    starts : float
        When it begins [min].
    above : list of float or None
        How long after that each rises above 5 °C [min]; 0 when it already is.
    peak : list of float
        The warmest each gets from then on [°C].
    cold_again : list of float or None
        How long after the stage's end each is back at 5 °C [min].
    """

    stage: int
    starts: float
    above: list[float | None]
    peak: list[float]
    cold_again: list[float | None]


def excursion_passes(run: Timeline) -> list[Pass]:
    """Return the passes of the first time out of the cold: 5 °C upwards, and downwards after it.

    Parameters
    ----------
    run : Timeline
        Solved cases; the first one counts.

    Returns
    -------
    list of Pass
        Two for each place of `OUTSIDE`; empty when the food stays in the cold.
    """
    at = warm_stage(run.cases[0].stages)
    if at is None:
        return []
    starts, ends, last = float(run.starts[at]), float(run.ends[at]), run.span_of(0)[1]
    up = [Pass(row, COLD_C, falling=False, since=starts, until=ends) for row in OUTSIDE]
    return [*up, *(Pass(row, COLD_C, since=ends, until=last) for row in OUTSIDE)]


def excursion(run: Timeline, track: Track, passed: Sequence[Passed | None]) -> Excursion | None:
    """Find the first time out of the cold.

    Parameters
    ----------
    run : Timeline
        Solved cases; the first one counts.
    track : Track
        The temperatures of the cases.
    passed : sequence of Passed or None
        Results for `excursion_passes`.

    Returns
    -------
    Excursion or None
        None when the food stays in the cold.
    """
    at = warm_stage(run.cases[0].stages)
    if at is None:
        return None
    starts, ends = float(run.starts[at]), float(run.ends[at])
    last = run.span_of(0)[1]
    rows = track.values[list(OUTSIDE), : int(track.grid.searchsorted(last, side="right"))]
    first = int(track.grid.searchsorted(starts))
    above = minutes_of(passed[: len(OUTSIDE)])
    begins = [time if begin <= COLD_C else starts for time, begin in zip(above, rows[:, first].tolist(), strict=True)]
    return Excursion(
        at,
        starts,
        [None if time is None else time - starts for time in begins],
        rows[:, first:].max(axis=1).tolist(),
        [None if time is None else time - ends for time in minutes_of(passed[len(OUTSIDE) :])],
    )


@dataclass(frozen=True, slots=True)
class Freezing:
    """A stage whose air freezes the rim.

    Parameters
    ----------
    stage : int
        Position of the stage, from 0.
    minutes : float
        How long after the stage's begin [min].
    """

    stage: int
    minutes: float


def freezing(run: Run, until: float = inf) -> Freezing | None:
    """Find the first stage that freezes the rim of top or base, where the model is no longer valid.

    Parameters
    ----------
    run : Run
        A solved case.
    until : float, optional
        End of the search [min].

    Returns
    -------
    Freezing or None
        None when the rim stays above `FREEZES_C`, so that the model is valid.
    """

    def read(times: Floats) -> Floats:
        return places.rims(run, times)

    for at, stage in enumerate(run.stages):
        if stage.ambient_c < FREEZES_C and run.starts[at] < until:
            starts = float(run.starts[at])
            track = Track(read, soon_grid(starts, stage.minutes))
            times = minutes_of(track.passes([Pass(row, FREEZES_C, until=until) for row in (0, 1)]))
            soonest = min((time for time in times if time is not None), default=None)
            if soonest is not None:
                return Freezing(at, soonest - starts)
    return None
