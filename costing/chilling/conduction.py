"""Transient conduction through stages of air, one direction at a time.

With constant properties and one air temperature in each stage, every jump of the air's temperature starts a problem of
its own whose temperatures are a product of one function for each direction, and stay one when films and stages change
(a finite cylinder is a rod times a plate; a block is three plates). So each direction is solved by itself: a symmetric
eigenvalue problem on Gauss-Lobatto nodes for each set of films. The temperature is the air's plus all those products.

References
----------
Carslaw and Jaeger, Conduction of Heat in Solids, 2nd edition, sections 1.15 (products) and 1.14 (changing air).
Canuto, Hussaini, Quarteroni and Zang, Spectral Methods, 2006, section 3.8 (Galerkin with numerical integration).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costing.chilling.bodies import Body, Direction, Stage, directions_of, films
from costing.chilling.composition import Food
from costing.chilling.lobatto import FACE, ROOTS, STIFFNESS, WEIGHTS, Floats

_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class Modes:
    """How one direction of a body loses its heat under given films.

    Parameters
    ----------
    rates : ndarray, shape (NODES,)
        How fast each mode dies away [1/min].
    shapes : ndarray, shape (NODES, NODES)
        Values of the modes (columns) at the nodes (rows).
    """

    rates: Floats
    shapes: Floats


@dataclass(frozen=True, slots=True)
class Probes:
    """Where temperatures are read: lines up the height, each at its own place sideways.

    Parameters
    ----------
    sideways : tuple of ndarray, shape (lines, NODES)
        For each direction towards the side a row for each line.
    heights : tuple of ndarray, shape (places, NODES)
        For each line its rows up the height.
    """

    sideways: tuple[Floats, ...]
    heights: tuple[Floats, ...]


def biot_matrix(direction: Direction, food: Food, ends: tuple[float, float]) -> Floats:
    """Set up the symmetric matrix of one direction.

    Parameters
    ----------
    direction : Direction
        The direction.
    food : Food
        Its properties.
    ends : tuple of float
        Film coefficients at its 0 and 1 [W/m2 K].

    Returns
    -------
    ndarray, shape (NODES, NODES)
        Stiffness with the films' Biot numbers at both ends, in units of 1 / length^2.
    """
    matrix = STIFFNESS[direction.kind].copy()
    biot = FACE[direction.kind] * direction.mm / 1000 / food.k
    matrix[0, 0] += biot * ends[0] / WEIGHTS[0]
    matrix[-1, -1] += biot * ends[1] / WEIGHTS[-1]
    return matrix


def modes_of(body: Body, food: Food, stages: Sequence[Stage]) -> list[tuple[Modes, ...]]:
    """Solve every direction of a body under the films of every stage, each set of films once.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    stages : sequence of Stage
        The stages.

    Returns
    -------
    list of tuple of Modes
        For each stage, one for each direction.
    """
    directions = directions_of(body)
    wanted = [[(way, films(stage, way)) for way in directions] for stage in stages]
    sets = list(dict.fromkeys(pair for pairs in wanted for pair in pairs))
    values, vectors = np.linalg.eigh(np.stack([biot_matrix(way, food, ends) for way, ends in sets]))
    solved = {}
    for at, (way, ends) in enumerate(sets):
        scale = food.alpha * _SECONDS / (way.mm / 1000) ** 2
        # An insulated direction keeps its heat: rounding must not make it grow.
        solved[way, ends] = Modes(np.maximum(values[at], 0.0) * scale, vectors[at] / ROOTS[:, None])
    return [tuple(solved[pair] for pair in pairs) for pairs in wanted]


Parts = tuple[Floats, ...]
"""For each direction the modes' amounts of every product, shape (products, NODES)."""


class Run:
    """The temperatures of a body through its stages.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    initial_c : float
        Temperature all through at minute 0 [°C].
    stages : sequence of Stage
        One stage or more, in order.

    Raises
    ------
    ValueError
        Without a stage.
    """

    def __init__(self, body: Body, food: Food, initial_c: float, stages: Sequence[Stage]) -> None:
        if not stages:
            raise ValueError("Cooling takes one stage or more.")
        self.body, self.food, self.initial_c, self.stages = body, food, initial_c, tuple(stages)
        self.ends: Floats = np.cumsum([stage.minutes for stage in stages])
        self.starts: Floats = np.concatenate([[0.0], self.ends[:-1]])
        self._modes = modes_of(body, food, stages)
        airs = [initial_c, *(stage.ambient_c for stage in stages)]
        self._bounds = [(min(airs[:seen]), max(airs[:seen])) for seen in range(2, len(airs) + 1)]
        self._jumps: list[Floats] = []
        self._parts: list[Parts] = []
        self._march()

    @property
    def minutes(self) -> float:
        """How long the stages take together [min]."""
        return float(self.ends[-1])

    @property
    def warmest_c(self) -> float:
        """The warmest anything can get in these stages [°C]."""
        return self._bounds[-1][1]

    def _march(self) -> None:
        """Carry the products from stage to stage; each jump of the air adds one."""
        jumps, parts, air = np.zeros(0), tuple(np.zeros((0, WEIGHTS.size)) for _ in self._modes[0]), self.initial_c
        for at, (stage, modes) in enumerate(zip(self.stages, self._modes, strict=True)):
            values = parts if at == 0 else self._carried(at - 1)
            jumps = np.append(jumps, air - stage.ambient_c)
            one = np.ones((1, WEIGHTS.size))
            parts = tuple(
                (np.vstack([old, one]) * WEIGHTS) @ way.shapes for old, way in zip(values, modes, strict=True)
            )
            air = stage.ambient_c
            self._jumps.append(jumps)
            self._parts.append(parts)

    def _carried(self, at: int) -> Parts:
        """Give the products' values at the nodes when a stage ends."""
        lasted = self.stages[at].minutes
        return tuple(
            (part * np.exp(-way.rates * lasted)) @ way.shapes.T
            for part, way in zip(self._parts[at], self._modes[at], strict=True)
        )

    def read(self, probes: Probes, minutes: Floats) -> Floats:
        """Read temperatures.

        Parameters
        ----------
        probes : Probes
            Where.
        minutes : ndarray, shape (m,)
            When, from minute 0 of the first stage [min]; the end of a stage is still that stage.

        Returns
        -------
        ndarray, shape (places, m)
            Temperatures at all places of all lines [°C].

        Raises
        ------
        ValueError
            When a time lies outside the stages.
        """
        if minutes.size and not (minutes.min() >= 0 and minutes.max() <= self.ends[-1] * (1 + 1e-12)):
            raise ValueError(f"Times run from 0 to {self.minutes:g} minutes.")
        if len(self.stages) == 1:
            return self._in_stage(0, probes, minutes)
        found = np.empty((sum(rows.shape[0] for rows in probes.heights), minutes.size))
        stage_of = self.ends[:-1].searchsorted(minutes)
        for at in sorted(set(stage_of.tolist())):
            here = stage_of == at
            found[:, here] = self._in_stage(at, probes, minutes[here])
        return found

    def _in_stage(self, at: int, probes: Probes, minutes: Floats) -> Floats:
        since, modes, parts = minutes - self.starts[at], self._modes[at], self._parts[at]
        decays = [np.exp(-way.rates[:, None] * since) for way in modes]
        amounts = self._jumps[at][:, None]
        for rows, way, part, decay in zip(probes.sideways, modes, parts, decays, strict=False):
            amounts = amounts * (((rows @ way.shapes)[:, None, :] * part) @ decay)
        up = (parts[-1].T @ amounts) * decays[-1]
        if up.ndim == 2:  # a slab has no sideways: all its lines are one
            lines = [np.concatenate(probes.heights) @ modes[-1].shapes @ up]
        else:
            lines = [(rows @ modes[-1].shapes) @ line for rows, line in zip(probes.heights, up, strict=True)]
        found = self.stages[at].ambient_c + np.concatenate(lines)
        # Right after a jump a polynomial rings by a per cent or two near the faces. Nothing gets warmer or colder than
        # what it began as and the air it has been in.
        coldest, warmest = self._bounds[at]
        return np.asarray(np.minimum(np.maximum(found, coldest), warmest), dtype=np.float64)
