"""A case of cooling or warming, followed: times to limits, time out of the cold, and whether the rim freezes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costing.chilling import places
from costing.chilling.bodies import Body, Stage
from costing.chilling.composition import Food
from costing.chilling.conduction import Probe, Run
from costing.chilling.crossings import (
    falls_through,
    rises_through,
    soon_grid,
    stage_grid,
    warm_stage,
)
from costing.chilling.lobatto import Floats
from costing.chilling.profiles import COLD_C

FREEZES_C = -2.0
"""Where the model stops [°C]: below about -2 the water of a sweet, creamy dessert begins to freeze; own estimate, to be
taken as a bound of the model, not as a property of a recipe."""

COLD_START_C = 3.0
"""Temperature all through of food that comes out of the cold [°C]; common practice, no source."""

WARM_UPS: dict[str, Stage] = {
    "room_25C": Stage(720.0, 25.0, 9.0, 9.0, 5.0),
    "vehicle_30C": Stage(720.0, 30.0, 9.0, 9.0, 5.0),
}
"""Out of the cold, uncovered: a warm room and a warm vehicle for twelve hours. Films as in still air with radiation,
textbook natural convection from memory."""

CENTRE, CORE = "centre", "core"
RIM, DEEP, MEAN, MIDDLE, COLDEST = (
    "edge_top_rim",
    "point_10mm_in",
    "volume_mean",
    "geometric_centre",
    "coldest_axis_point",
)
OUTSIDE = (RIM, DEEP, MEAN, MIDDLE)
_PLACES = 5


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


def followed(run: Run, minutes: Floats) -> Floats:
    """Read the two points cooling is judged by: centre and core, the warmest point of the axis.

    Parameters
    ----------
    run : Run
        A solved case.
    minutes : ndarray, shape (m,)
        When [min].

    Returns
    -------
    ndarray, shape (2, m)
        Centre and core [°C].
    """
    (line,) = run.read([places.axis(run.body)], minutes)
    return np.stack([line[places.MIDDLE], places.warmest(line)[0]])


def cooling_stages(stages: Sequence[Stage]) -> Sequence[Stage]:
    """Give the stages until food that has been in the cold first comes out of it.

    Parameters
    ----------
    stages : sequence of Stage
        All stages.

    Returns
    -------
    sequence of Stage
        Those that cool.
    """
    return stages[: warm_stage(stages)]


def minutes_to(run: Run, limits: Sequence[float]) -> dict[str, list[float | None]]:
    """Find when centre and core first fall through temperatures while cooling.

    Parameters
    ----------
    run : Run
        A solved case.
    limits : sequence of float
        Temperatures [°C].

    Returns
    -------
    dict of str to list of float or None
        `centre` and `core` to a time for each limit [min].
    """
    cooling = cooling_stages(run.stages)
    grid = stage_grid(run.starts[: len(cooling)], cooling)
    wanted = [(row, limit) for row in (0, 1) for limit in limits]
    found = falls_through(lambda times: followed(run, times), grid, wanted)
    return {CENTRE: found[: len(limits)], CORE: found[len(limits) :]}


def core_heights(run: Run, minutes: Floats) -> Floats:
    """Give where the core is.

    Parameters
    ----------
    run : Run
        A solved case.
    minutes : ndarray, shape (m,)
        When [min].

    Returns
    -------
    ndarray, shape (m,)
        Height above the base [mm].
    """
    (line,) = run.read([places.axis(run.body)], minutes)
    return places.warmest(line)[1] * run.body.height_mm


def _outside(body: Body) -> list[Probe]:
    return [places.rim(body), places.ten_mm_in(body), places.mean(body)]


def outside(run: Run, minutes: Floats) -> Floats:
    """Read the places that tell how far food has warmed.

    Parameters
    ----------
    run : Run
        A solved case.
    minutes : ndarray, shape (m,)
        When [min].

    Returns
    -------
    ndarray, shape (5, m)
        Top rim, ten millimetres in, mean, centre and coldest point of the axis [°C].
    """
    *single, line = run.read([*_outside(run.body), places.axis(run.body)], minutes)
    return np.stack([*(values[0] for values in single), line[places.MIDDLE], places.coldest(line)])


def warm_up(
    body: Body, food: Food, stage: Stage, airs_c: Sequence[float], start_c: float = COLD_START_C
) -> list[list[float | None]]:
    """Find how long food from the cold stays cold in a warm stage, in air of several temperatures, each by itself.

    One solution serves all: the share of the way to the air's temperature is the same.

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
        Temperature all through at minute 0 [°C], below 5 °C.

    Returns
    -------
    list of list of float or None
        For each air the times at which rim, ten millimetres in, mean, centre and coldest point of the axis rise
        above 5 °C [min]; None when one does not in that stage.
    """
    alike = Stage(stage.minutes, 1.0, stage.h_top, stage.h_side, stage.h_bottom)
    run = Run(body, food, 0.0, [alike])
    wanted = [(row, (COLD_C - start_c) / (air - start_c)) for air in airs_c for row in range(_PLACES)]
    found = rises_through(lambda times: outside(run, times), soon_grid(0.0, stage.minutes), wanted)
    return [found[at : at + _PLACES] for at in range(0, len(found), _PLACES)]


@dataclass(frozen=True, slots=True)
class Excursion:
    """Time out of the cold within a schedule.

    Parameters
    ----------
    stage : int
        Position of the warm stage, from 0.
    starts : float
        When it begins [min].
    above : tuple of float or None
        How long after that rim, ten millimetres in, mean and centre rise above 5 °C [min].
    peak : tuple of float
        The warmest each gets from then on [°C].
    cold_again : tuple of float or None
        How long after the stage's end each is back at 5 °C [min].
    """

    stage: int
    starts: float
    above: tuple[float | None, ...]
    peak: tuple[float, ...]
    cold_again: tuple[float | None, ...]


def excursion(run: Run) -> Excursion | None:
    """Follow the first time out of the cold.

    Parameters
    ----------
    run : Run
        A solved case.

    Returns
    -------
    Excursion or None
        None when the food stays in the cold.
    """
    at = warm_stage(run.stages)
    if at is None:
        return None
    starts, ends = float(run.starts[at]), float(run.ends[at])
    rows = [(row, COLD_C) for row in range(len(OUTSIDE))]

    def read(times: Floats) -> Floats:
        return outside(run, times)

    above = rises_through(read, soon_grid(starts, run.stages[at].minutes), rows)
    later = stage_grid(run.starts[at:], run.stages[at:])
    after = later[later >= ends]
    cold_again = falls_through(read, after, rows) if after.size > 1 else [None] * len(rows)
    return Excursion(
        at,
        starts,
        tuple(None if time is None else time - starts for time in above),
        tuple(outside(run, later)[: len(OUTSIDE)].max(axis=1).tolist()),
        tuple(None if time is None else time - ends for time in cold_again),
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


def freezing(run: Run) -> Freezing | None:
    """Find the first stage that freezes the rim of top or base, where this model ends.

    Parameters
    ----------
    run : Run
        A solved case.

    Returns
    -------
    Freezing or None
        None when the rim stays above `FREEZES_C`, so that the answer holds.
    """
    rims = places.rims(run.body)
    for at, stage in enumerate(run.stages):
        if stage.ambient_c >= FREEZES_C:
            continue
        grid = soon_grid(float(run.starts[at]), stage.minutes)
        # The grid's first minute belongs to the stage before, where the rim was still above.
        found = falls_through(lambda times: run.read([rims], times)[0], grid, [(0, FREEZES_C), (1, FREEZES_C)])
        times = [time for time in found if time is not None]
        if times:
            return Freezing(at, min(times) - float(run.starts[at]))
    return None
