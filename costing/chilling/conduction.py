"""Transient conduction through stages of air, one direction at a time, for one case or several side by side.

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

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from costing.chilling.bodies import Body, Direction, Stage, directions_of, films
from costing.chilling.composition import Food
from costing.chilling.layers import Layer, quicker, slower, starting
from costing.chilling.lobatto import WEIGHTS, Floats, Probes
from costing.chilling.modes import Modes, Within, solved

Items = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Case:
    """A cooling or warming case: body, food, initial temperature and stages of air.

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
    top : Layer or None
        A layer that lies on it, within the body's height; food and temperature are then those of what is below.
    warming : bool
        Whether two layers are taken with the quicker of their foods towards the sides, instead of the slower.
    """

    body: Body
    food: Food
    initial_c: float
    stages: tuple[Stage, ...]
    top: Layer | None = None
    warming: bool = False

    @property
    def between(self) -> float | None:
        """The height at which two layers meet, as a share of the body's [1]; None with one."""
        # Bodies whose layers meet at the same share are solved together; rounding must not tell them apart.
        return None if self.top is None else round(1 - self.top.height_mm / self.body.height_mm, 9)

    @property
    def lower_mm(self) -> float:
        """The thickness of what is below the upper layer [mm]."""
        return self.body.height_mm - (0.0 if self.top is None else self.top.height_mm)

    @property
    def hottest_c(self) -> float:
        """The warmest of it at minute 0 [°C]."""
        return self.initial_c if self.top is None else max(self.initial_c, self.top.initial_c)

    def run(self) -> Run:
        """Solve the case."""
        return Run(self.body, self.food, self.initial_c, self.stages, self.top)


def modes_of(cases: Sequence[Case]) -> Modes:
    """Solve every direction of bodies under the films of every stage, each set of films once.

    Parameters
    ----------
    cases : sequence of Case
        Bodies with as many directions as each other, and as many stages.

    Returns
    -------
    Modes
        The first axes are directions, cases and stages.
    """
    ways = list(zip(*(directions_of(case.body) for case in cases), strict=True))
    wanted = [
        _within(case, stage, way)
        for of_cases in ways
        for way, case in zip(of_cases, cases, strict=True)
        for stage in case.stages
    ]
    return solved(wanted, (len(ways), len(cases), -1))


def _within(case: Case, stage: Stage, way: Direction) -> Within:
    """Return what a direction of a case is in a stage; to the sides, two layers are taken as one food."""
    ends, top, every = films(stage, way), case.top, stage.stirred_every_min
    if top is None:
        return Within(way, ends, case.food, stirred_every_min=every)
    if way.kind == "height":
        return Within(way, ends, case.food, (case.lower_mm, top), every)
    return Within(way, ends, (quicker if case.warming else slower)(case.food, top.food), stirred_every_min=every)


class Cohort:
    """Several cases solved side by side, which takes little longer than one.

    Each stage of each case is an item: case by case, and in each its stages in order.

    Parameters
    ----------
    cases : sequence of Case
        One or more; their bodies have as many directions as each other, and they have as many stages.
    """

    def __init__(self, cases: Sequence[Case]) -> None:
        airs = np.array([[case.initial_c, *(stage.ambient_c for stage in case.stages)] for case in cases])
        layered = {at: (case, case.top) for at, case in enumerate(cases) if case.top is not None}
        lowest, self.highest = _bounds(airs, layered)
        modes = modes_of(cases)
        first = {
            at: starting(case.initial_c, case.food, case.lower_mm, top) - case.stages[0].ambient_c
            for at, (case, top) in layered.items()
        }
        lasted = np.array([[stage.minutes for stage in case.stages] for case in cases], dtype=np.float64)
        parts = _march(modes, lasted, first)
        # What two layers begin with above the air is in their first product itself.
        airs[list(layered), 0] = 1.0 + airs[list(layered), 1]
        items = self.highest.size
        self._rates = modes.rates.reshape(-1, items, WEIGHTS.size)
        self._shapes = modes.shapes.reshape(-1, items, *modes.shapes.shape[-2:])
        self._parts = parts.reshape(-1, items, *parts.shape[-2:])
        self._jumps = (airs[:, :-1] - airs[:, 1:]).repeat(parts.shape[2], axis=0)
        self._airs, self._lowest, self._highest = (
            part.reshape(items, 1, 1) for part in (airs[:, 1:], lowest, self.highest)
        )

    def read(self, items: Items, probes: Probes, since: Floats) -> Floats:
        """Read temperatures.

        Parameters
        ----------
        items : ndarray, shape (items,)
            Which items.
        probes : Probes
            Where.
        since : ndarray, shape (items, m)
            When, from the begin of each item's stage [min].

        Returns
        -------
        ndarray, shape (items, places, m)
            Temperatures at all places of all lines [°C].
        """
        rates, shapes, parts = self._rates[:, items], self._shapes[:, items], self._parts[:, items]
        decays = np.exp(-rates[..., None] * since[:, None])
        amounts = self._jumps[items][:, None, :, None]
        for lines, way, part, decay in zip(probes.sideways, shapes, parts, decays, strict=False):
            amounts = amounts * _across(lines @ way, part, decay)
        up = (parts[-1].swapaxes(-1, -2)[:, None] @ amounts) * decays[-1][:, None]
        # A slab has no sideways direction: all its lines are the same.
        which = range(len(probes.heights)) if up.shape[1] > 1 else [0] * len(probes.heights)
        read = [(rows @ shapes[-1]) @ up[:, at] for rows, at in zip(probes.heights, which, strict=True)]
        found = self._airs[items] + np.concatenate(read, axis=1)
        # Right after a jump a polynomial rings by a per cent or two near the faces. Nothing gets warmer or colder than
        # what it began as and the air it has been in.
        return np.asarray(np.minimum(np.maximum(found, self._lowest[items]), self._highest[items]), dtype=np.float64)


def _bounds(airs: Floats, layered: Mapping[int, tuple[Case, Layer]]) -> tuple[Floats, Floats]:
    """Return the lowest and the highest that anything can have become in each item."""
    begins = np.stack([airs[:, 0], airs[:, 0]])
    for at, (case, top) in layered.items():
        begins[:, at] = sorted((case.initial_c, top.initial_c))
    lowest, highest = (
        bound.accumulate(np.column_stack([begin, airs[:, 1:]]), axis=1)[:, 1:].ravel()
        for bound, begin in zip((np.minimum, np.maximum), begins, strict=True)
    )
    return lowest, highest


def _march(modes: Modes, lasted: Floats, first: Mapping[int, Floats]) -> Floats:
    """Propagate the products from stage to stage; each jump of the air adds one product.

    A product that has not started yet has no amounts, so including its jump early changes nothing. `first` has what the
    first product of a case of two layers is along the height.
    """
    directions, cases, stages, nodes = modes.rates.shape
    weighed = modes.weights[..., None] * modes.shapes
    across = modes.shapes[:, :, :-1].swapaxes(-1, -2) @ weighed[:, :, 1:]
    decays = np.exp(-modes.rates * lasted[:, :, None])
    parts = np.zeros((directions, cases, stages, stages, nodes))
    every = np.arange(stages)
    # The temperature is uniform at first: the amounts are those of the quadrature weights.
    parts[:, :, every, every] = weighed.sum(axis=-2)
    for case, begin in first.items():
        parts[-1, case, 0, 0] = begin @ weighed[-1, case, 0]
    for at in range(1, stages):
        parts[:, :, at, :at] = _carried(parts[:, :, at - 1, :at], decays[:, :, at - 1, None], across[:, :, at - 1])
    return parts


def _carried(parts: Floats, decays: Floats, across: Floats) -> Floats:
    """Return the products' amounts at the start of a stage from those at the start of the stage before."""
    carried: Floats = (parts * decays) @ across
    return carried


def _across(lines: Floats, parts: Floats, decays: Floats) -> Floats:
    """Return every product's value in one direction, for each item, line, product and time."""
    items, count, _ = lines.shape
    each = lines[:, :, None, :] * parts[:, None]
    products: Floats = each.reshape(items, -1, WEIGHTS.size) @ decays
    return products.reshape(items, count, parts.shape[1], -1)


_GAP_MIN = 1.0


class Timeline:
    """Cases placed one after another on one time axis, with gaps, so that they can be read together.

    Parameters
    ----------
    cases : sequence of Case
        One or more, whose bodies have as many directions as each other.

    Raises
    ------
    ValueError
        Without a stage.
    """

    def __init__(self, cases: Sequence[Case]) -> None:
        if not all(case.stages for case in cases):
            raise ValueError("Cooling takes one stage or more.")
        self.cases = tuple(cases)
        most = max(len(case.stages) for case in cases)
        padded = [_padded(case, most) for case in cases]
        self._cohort = Cohort(padded)
        lasted = np.array([[_GAP_MIN, *(stage.minutes for stage in case.stages)] for case in padded])
        lasted[0, 0] = 0.0
        limits = lasted.cumsum().reshape(lasted.shape)
        self.starts: Floats = limits[:, :-1].ravel()
        self.ends: Floats = limits[:, 1:].ravel()

    def items_of(self, case: int) -> slice:
        """Return the positions of a case's stages in `starts` and `ends`.

        Parameters
        ----------
        case : int
            Position of the case, from 0.

        Returns
        -------
        slice
            One position per stage.
        """
        first = case * (self.starts.size // len(self.cases))
        return slice(first, first + len(self.cases[case].stages))

    def span_of(self, case: int) -> tuple[float, float]:
        """Return the start and end of a case.

        Parameters
        ----------
        case : int
            Position of the case, from 0.

        Returns
        -------
        tuple of float
            Two times [min].
        """
        items = self.items_of(case)
        return float(self.starts[items.start]), float(self.ends[items.stop - 1])

    @property
    def body(self) -> Body:
        """The first body; the others have the same shape, or are read only where size does not matter."""
        return self.cases[0].body

    @property
    def between(self) -> float | None:
        """The height at which two layers meet, as a share of the body's [1]; None with one. The same in all cases."""
        return self.cases[0].between

    def highest(self, minutes: Floats) -> Floats:
        """Return an upper bound of all temperatures at given times.

        Parameters
        ----------
        minutes : ndarray, shape (m,)
            When [min].

        Returns
        -------
        ndarray, shape (m,)
            Temperatures [°C].
        """
        return self._cohort.highest[self._items(minutes)]

    def read(self, probes: Probes, minutes: Floats) -> Floats:
        """Read temperatures.

        Parameters
        ----------
        probes : Probes
            Where.
        minutes : ndarray, shape (m,)
            Times [min], at least one; the end of a stage belongs to that stage.

        Returns
        -------
        ndarray, shape (places, m)
            Temperatures at all places of all lines [°C].

        Raises
        ------
        ValueError
            When a time lies outside the stages.
        """
        used, at, back = _by_item(self._items(minutes), self.ends.size)
        since = minutes[at] - self.starts[used][:, None]
        if not (since.min() >= 0 and minutes.max() <= self.ends[-1] * (1 + 1e-12)):
            raise ValueError(f"Times run from 0 to {self.ends[-1]:g} minutes, within the stages.")
        values = self._cohort.read(used, probes, since)
        return values.swapaxes(0, 1).reshape(values.shape[1], -1).take(back, axis=1)

    def _items(self, minutes: Floats) -> Items:
        return self.ends[:-1].searchsorted(minutes)


def _padded(case: Case, stages: int) -> Case:
    """Pad a case with stages of zero length that repeat its last air and films, at no cost."""
    last = replace(case.stages[-1], minutes=0.0)
    return replace(case, stages=(*case.stages, *(last for _ in range(stages - len(case.stages)))))


def _by_item(item_of: Items, items: int) -> tuple[Items, Items, Items]:
    """Group times by item.

    Return the items that occur, the times of each item (padded by repeating the last), and the position of each time in
    that array.
    """
    counts = np.bincount(item_of, minlength=items)
    used = counts.nonzero()[0]
    counts, most = counts[used], int(counts.max())
    order, begins = item_of.argsort(kind="stable"), counts.cumsum() - counts
    place = np.minimum(np.arange(most), counts[:, None] - 1)
    back = np.empty_like(order)
    back[order] = np.arange(order.size) + (np.arange(used.size) * most - begins).repeat(counts)
    return used, order[begins[:, None] + place], back


class Run(Timeline):
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
    top : Layer or None, optional
        A layer that lies on it, within the body's height.

    Raises
    ------
    ValueError
        Without a stage.
    """

    def __init__(
        self, body: Body, food: Food, initial_c: float, stages: Sequence[Stage], top: Layer | None = None
    ) -> None:
        super().__init__([Case(body, food, initial_c, tuple(stages), top)])

    @property
    def stages(self) -> tuple[Stage, ...]:
        """The stages, in order."""
        return self.cases[0].stages

    @property
    def minutes(self) -> float:
        """How long the stages take together [min]."""
        return float(self.ends[-1])
