"""When a temperature passes a limit."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from costing.chilling.bodies import Stage
from costing.chilling.lobatto import Floats

Reading = Callable[[Floats], Floats]
"""Times [min], shape (m,) -> temperatures [°C], shape (rows, m)."""

WARM_C = 15.0
"""From this air on, a stage after a colder one counts as time out of the cold [°C]; own convention."""

_A_STAGE = 40
_PARTS = 16
_SHARES: Floats = np.linspace(0.0, 1.0, _A_STAGE + 1) ** 2
_SOON: Floats = np.concatenate([[0.0], np.geomspace(1e-6, 1.0, 96)])
_INSIDE: Floats = np.linspace(0.0, 1.0, _PARTS + 1)


def stage_grid(starts: Floats, stages: Sequence[Stage]) -> Floats:
    """Lay times over stages, closer together after each change of air.

    Parameters
    ----------
    starts : ndarray, shape (stages,)
        When each stage begins [min].
    stages : sequence of Stage
        The stages.

    Returns
    -------
    ndarray, shape (m,)
        Times in rising order [min].
    """
    laid = [start + stage.minutes * _SHARES for start, stage in zip(starts.tolist(), stages, strict=True)]
    return np.asarray(np.unique(np.concatenate(laid)), dtype=np.float64)


def soon_grid(start: float, minutes: float) -> Floats:
    """Lay times over one stage from a millionth of it on, for places that warm within seconds.

    Parameters
    ----------
    start : float
        When the stage begins [min].
    minutes : float
        How long it lasts [min].

    Returns
    -------
    ndarray, shape (m,)
        Times in rising order [min].
    """
    return start + minutes * _SOON


def falls_through(read: Reading, grid: Floats, wanted: Sequence[tuple[int, float]]) -> list[float | None]:
    """Find when rows of temperatures first fall to a limit.

    A bracket on the grid is divided once; inside its part the temperature above the limit is taken as straight.

    Parameters
    ----------
    read : callable
        Times to temperatures.
    grid : ndarray, shape (m,)
        Times in rising order, close enough to tell each fall [min].
    wanted : sequence of (int, float)
        Row and limit [°C].

    Returns
    -------
    list of float or None
        Time of each [min]; the grid's first when a row begins at the limit; None when it never falls through.
    """
    values = read(grid)
    brackets = [_bracket(values[row] - limit) for row, limit in wanted]
    times = [grid[at] + (grid[at + 1] - grid[at]) * _INSIDE for at in brackets if at is not None]
    if not times:
        return [None] * len(wanted)
    fine = iter(np.split(read(np.concatenate(times)), len(times), axis=1))
    found: list[float | None] = []
    for (row, limit), at in zip(wanted, brackets, strict=True):
        if at is None:
            found.append(None)
        else:
            found.append(_straight(grid[at], grid[at + 1], next(fine)[row] - limit))
    return found


def rises_through(read: Reading, grid: Floats, wanted: Sequence[tuple[int, float]]) -> list[float | None]:
    """Find when rows of temperatures first rise above a limit.

    Parameters
    ----------
    read : callable
        Times to temperatures.
    grid : ndarray, shape (m,)
        Times in rising order, close enough to tell each rise [min].
    wanted : sequence of (int, float)
        Row and limit [°C].

    Returns
    -------
    list of float or None
        Time of each [min]; the grid's first when a row begins above the limit; None when it never rises through.
    """
    found = falls_through(lambda times: -read(times), grid, [(row, -limit) for row, limit in wanted])
    if None not in found:
        return found
    begins = read(grid[:1])[:, 0]
    return [
        float(grid[0]) if time is None and begins[row] > limit else time
        for time, (row, limit) in zip(found, wanted, strict=True)
    ]


def _bracket(above: Floats) -> int | None:
    falls = np.flatnonzero((above[:-1] >= 0) & (above[1:] < 0))
    return int(falls[0]) if falls.size else None


def _straight(start: float, end: float, above: Floats) -> float:
    at = _bracket(above)
    if at is None:  # rounding at the very edge of the bracket
        return float(start if above[0] < 0 else end)
    share = (at + above[at] / (above[at] - above[at + 1])) / _PARTS
    return float(start + (end - start) * share)


def warm_stage(stages: Sequence[Stage]) -> int | None:
    """Find the first stage out of the cold: warm air after cold air.

    Parameters
    ----------
    stages : sequence of Stage
        The stages.

    Returns
    -------
    int or None
        Its position from 0; None when the food stays in the cold.
    """
    cold = False
    for at, stage in enumerate(stages):
        if cold and stage.ambient_c >= WARM_C:
            return at
        cold = cold or stage.ambient_c < WARM_C
    return None
