"""Find when a temperature passes a limit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
import numpy.typing as npt

from costing.chilling.bodies import Stage
from costing.chilling.lobatto import Floats, lobatto, row_at

Reading = Callable[[Floats], Floats]
"""Times [min], shape (m,) -> values, shape (rows, m)."""

WARM_C = 15.0
"""From this air on, a stage after a colder one counts as time out of the cold [°C]; own convention."""

_EVEN: Floats = np.linspace(0.0, 1.0, 25) ** 4
_SOON: Floats = np.concatenate([[0.0], np.geomspace(1e-5, 1.0, 32)])
_INSIDE, _ = lobatto(6)
_DENSE: Floats = np.linspace(0.0, 1.0, 65)
_THROUGH: Floats = np.stack([row_at(share, _INSIDE) for share in _DENSE.tolist()])


@dataclass(frozen=True, slots=True)
class Pass:
    """A limit that a row may pass.

    Parameters
    ----------
    row : int
        Which row of the reading.
    limit : float
        The limit [°C].
    falling : bool
        Whether it is passed downwards; else upwards.
    since : float
        Start of the search [min].
    until : float
        End of the search [min].
    """

    row: int
    limit: float
    falling: bool = True
    since: float = 0.0
    until: float = inf


@dataclass(frozen=True, slots=True)
class Passed:
    """A limit passed.

    Parameters
    ----------
    minute : float
        When [min].
    values : ndarray, shape (rows,)
        Values of all rows at that time.
    """

    minute: float
    values: Floats


def even_grid(starts: Sequence[float], stages: Sequence[Stage]) -> Floats:
    """Return a time grid over the stages, denser after each change of air.

    Parameters
    ----------
    starts : sequence of float
        When each stage begins [min].
    stages : sequence of Stage
        The stages.

    Returns
    -------
    ndarray, shape (25 * stages,)
        Times [min].
    """
    return np.concatenate([start + stage.minutes * _EVEN for start, stage in zip(starts, stages, strict=True)])


def soon_grid(start: float, minutes: float) -> Floats:
    """Return a time grid over one stage that starts at a hundred-thousandth of it, for places that warm within seconds.

    Parameters
    ----------
    start : float
        When the stage begins [min].
    minutes : float
        How long it lasts [min].

    Returns
    -------
    ndarray, shape (33,)
        Times in rising order [min].
    """
    return start + minutes * _SOON


class Track:
    """Values on a grid of times, and when they pass limits.

    Parameters
    ----------
    read : callable
        Times to values.
    grid : ndarray, shape (m,)
        Times in rising order, dense enough to detect each pass [min].
    """

    def __init__(self, read: Reading, grid: Floats) -> None:
        self.read, self.grid = read, grid
        self.values = read(grid)

    def at(self, minutes: Sequence[float]) -> Floats:
        """Return the values at grid times.

        Parameters
        ----------
        minutes : sequence of float
            Times [min].

        Returns
        -------
        ndarray, shape (rows, times)
            The values.
        """
        return self.values[:, self.grid.searchsorted(minutes)]

    def passes(self, wanted: Sequence[Pass]) -> list[Passed | None]:
        """Find when limits are first passed, by interpolation of degree five within a grid interval.

        Parameters
        ----------
        wanted : sequence of Pass
            Rows and limits.

        Returns
        -------
        list of Passed or None
            One for each: at its first time when it begins at the limit, None when it is not passed.
        """
        rows, limits, signs = self._columns(wanted)
        above = signs * (self.values[rows] - limits)
        falls = (above[:, :-1] >= 0) & (above[:, 1:] < 0)
        within = np.array([(one.since, one.until) for one in wanted])
        falls &= (self.grid[:-1] >= within[:, :1]) & (self.grid[1:] <= within[:, 1:])
        known = np.flatnonzero(falls.any(axis=1))
        if not known.size:
            return [None] * len(wanted)
        at = falls[known].argmax(axis=1)
        starts, ends = self.grid[at], self.grid[at + 1]
        spans = ends - starts
        # Rounding must not move the last of them beyond the interval, into another stage or beyond the last.
        fine = self.read(np.minimum(starts[:, None] + spans[:, None] * _INSIDE, ends[:, None]).ravel())
        fine = fine.reshape(fine.shape[0], known.size, _INSIDE.size)
        inside = signs[known] * (fine[rows[known], np.arange(known.size)] - limits[known])
        shares, through = _first_zero(inside)
        values = np.einsum("rwn,wn->wr", fine, through)
        found: list[Passed | None] = [None] * len(wanted)
        for place, minute, row in zip(known.tolist(), (starts + spans * shares).tolist(), values, strict=True):
            found[place] = Passed(minute, row)
        return found

    @staticmethod
    def _columns(wanted: Sequence[Pass]) -> tuple[npt.NDArray[np.intp], Floats, Floats]:
        rows = np.array([one.row for one in wanted], dtype=np.intp)
        limits = np.array([[one.limit] for one in wanted], dtype=np.float64)
        return rows, limits, np.array([[1.0 if one.falling else -1.0] for one in wanted])


def _first_zero(above: Floats) -> tuple[Floats, Floats]:
    """Find where rows of six values first fall through zero, and the weights that interpolate other rows there."""
    dense = above @ _THROUGH.T
    falls = (dense[:, :-1] >= 0) & (dense[:, 1:] < 0)
    at, row = falls.argmax(axis=1), np.arange(above.shape[0])
    left, right = dense[row, at], dense[row, at + 1]
    # Rounding at the edge of an interval can hide the crossing; then it is at that edge.
    part = np.where(falls[row, at], left / np.where(left == right, 1.0, left - right), (left >= 0) * _DENSE.size)
    part = np.minimum(part, _DENSE.size - 1 - at)
    step = part.astype(np.intp)
    exact = np.minimum(at + step, _DENSE.size - 1)
    after = np.minimum(exact + 1, _DENSE.size - 1)
    rest = (part - step)[:, None]
    through = _THROUGH[exact] * (1 - rest) + _THROUGH[after] * rest
    return (at + part) * _DENSE[1], through


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
