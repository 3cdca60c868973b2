"""A case of cooling or warming, followed: times to limits, time out of the cold, and whether the rim freezes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from costing.chilling import places
from costing.chilling.bodies import Body, Stage
from costing.chilling.composition import Food
from costing.chilling.conduction import Run
from costing.chilling.crossings import Pass, Passed, Track, even_grid, soon_grid, warm_stage
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
"""Places whose warming is followed."""


@dataclass(frozen=True, slots=True)
class Case:
    """What cools, how warm it begins, and the air it passes through.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    initial_c : float
        Temperature all through at minute 0 [°C].
    stages : tuple of Stage
        In order.
    """

    body: Body
    food: Food
    initial_c: float
    stages: tuple[Stage, ...]

    def run(self) -> Run:
        """Solve the case."""
        return Run(self.body, self.food, self.initial_c, self.stages)


def follow(run: Run, minutes: Sequence[float] = ()) -> Track:
    """Follow a case from begin to end.

    Parameters
    ----------
    run : Run
        A solved case.
    minutes : sequence of float, optional
        Times that have to stand on the grid [min].

    Returns
    -------
    Track
        Rows as `places.temperatures` gives them.
    """
    warm = warm_stage(run.stages)
    grids = [even_grid(run.starts.tolist(), run.stages), np.asarray(minutes, dtype=np.float64)]
    if warm is not None:
        grids.append(soon_grid(float(run.starts[warm]), run.stages[warm].minutes))
    grid = np.unique(np.concatenate(grids))
    return Track(lambda times: places.temperatures(run, times), grid)


def cooling_end(run: Run) -> float:
    """Give when food that has been in the cold first comes out of it.

    Parameters
    ----------
    run : Run
        A solved case.

    Returns
    -------
    float
        Until when it cools [min].
    """
    warm = warm_stage(run.stages)
    return run.minutes if warm is None else float(run.starts[warm])


def cooling_passes(run: Run, row: int, limits: Sequence[float]) -> list[Pass]:
    """Say which limits a row passes while cooling.

    Parameters
    ----------
    run : Run
        A solved case.
    row : int
        A row of what is followed.
    limits : sequence of float
        Temperatures [°C].

    Returns
    -------
    list of Pass
        One for each limit.
    """
    until = cooling_end(run)
    return [Pass(row, limit, until=until) for limit in limits]


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
    grid = np.unique(even_grid(run.starts.tolist(), run.stages))
    track = Track(lambda times: places.core(run, times), grid)
    return minutes_of(track.passes(cooling_passes(run, 0, limits)))


def minutes_of(passed: Sequence[Passed | None]) -> list[float | None]:
    """Give the times of limits passed.

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


def warm_up(
    body: Body, food: Food, stage: Stage, airs_c: Sequence[float], start_c: float = COLD_START_C
) -> list[list[float | None]]:
    """Find how long food from the cold stays cold in a warm stage, in air of several temperatures, each by itself.

    One solution serves all: a body warms the way a body of 1 cools in air of 0. The coldest point of the one is the
    core of the other.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    stage : Stage
        A warm stage; its own air does not count.
    airs_c : sequence of float
        Temperatures of the air, each above `start_c` [°C].
    start_c : float, optional
        Temperature all through at minute 0 [°C], not above 5 °C.

    Returns
    -------
    list of list of float or None
        For each air the times at which rim, ten millimetres in, mean, centre and coldest point of the axis rise
        above 5 °C [min]; None when one does not in that stage.
    """
    run = Run(body, food, 1.0, [Stage(stage.minutes, 0.0, stage.h_top, stage.h_side, stage.h_bottom)])
    rows = (*OUTSIDE, places.CORE)
    wanted = [Pass(row, (air - COLD_C) / (air - start_c)) for air in airs_c for row in rows]
    track = Track(lambda times: places.temperatures(run, times), soon_grid(0.0, stage.minutes))
    found = minutes_of(track.passes(wanted))
    return [found[at : at + len(rows)] for at in range(0, len(found), len(rows))]


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


def excursion_passes(run: Run) -> list[Pass]:
    """Say what is asked of the first time out of the cold: passing 5 °C upwards, and downwards after it.

    Parameters
    ----------
    run : Run
        A solved case.

    Returns
    -------
    list of Pass
        Two for each place of `OUTSIDE`; none when the food stays in the cold.
    """
    at = warm_stage(run.stages)
    if at is None:
        return []
    starts, ends = float(run.starts[at]), float(run.ends[at])
    up = [Pass(row, COLD_C, falling=False, since=starts, until=ends) for row in OUTSIDE]
    return [*up, *(Pass(row, COLD_C, since=ends, until=inf) for row in OUTSIDE)]


def excursion(run: Run, track: Track, passed: Sequence[Passed | None]) -> Excursion | None:
    """Tell the first time out of the cold.

    Parameters
    ----------
    run : Run
        A solved case.
    track : Track
        The case, followed.
    passed : sequence of Passed or None
        Answers to `excursion_passes`.

    Returns
    -------
    Excursion or None
        None when the food stays in the cold.
    """
    at = warm_stage(run.stages)
    if at is None:
        return None
    starts, ends = float(run.starts[at]), float(run.ends[at])
    first = int(track.grid.searchsorted(starts))
    rows = track.values[list(OUTSIDE)]
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
    """Find the first stage that freezes the rim of top or base, where this model ends.

    Parameters
    ----------
    run : Run
        A solved case.
    until : float, optional
        Until when it matters [min].

    Returns
    -------
    Freezing or None
        None when the rim stays above `FREEZES_C`, so that the answer holds.
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
