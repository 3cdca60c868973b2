"""The places in a body where temperatures are computed: rim, ten millimetres in, mean, centre and the axis."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from costing.chilling.bodies import Body, Direction
from costing.chilling.conduction import Timeline
from costing.chilling.lobatto import LAYER_WEIGHTS, WEIGHTS, Floats, Probes, layered_row, over_layers, place_on, row_at

DEEP_MM = 10.0
"""How far inside the rim the “10 mm” place lies [mm]; common practice, no source: about where a probe can be read."""

_STEPS = 16
SHARES: Floats = np.linspace(0.0, 1.0, _STEPS + 1)
"""Shares of the height at which the axis is read."""
MIDDLE = _STEPS // 2
"""Which of `SHARES` is half the height."""

_START, _END = row_at(0.0), row_at(1.0)
_SINGLE = 3

CENTRE, CORE, HEIGHT, RIM, DEEP, MEAN = range(6)
"""Rows of `temperatures`."""


@lru_cache(maxsize=256)
def up_the_axis(between: float | None) -> Floats:
    """Return the rows that evaluate temperatures at `SHARES` of the height.

    Parameters
    ----------
    between : float or None
        The height at which two layers meet, as a share of the whole [1]; None with one.

    Returns
    -------
    ndarray, shape (SHARES.size, NODES)
        A row for each share.
    """
    return np.stack([_height_row(share, between) for share in SHARES.tolist()])


def _height_row(share: float, between: float | None) -> Floats:
    return row_at(share) if between is None else layered_row(share, between)


def _height_weights(between: float | None) -> Floats:
    if between is None:
        return WEIGHTS
    return over_layers(between * LAYER_WEIGHTS, (1 - between) * LAYER_WEIGHTS)


@lru_cache(maxsize=256)
def probes_of(body: Body, between: float | None = None) -> Probes:
    """Return the probes of a body: top rim, ten millimetres in, mean, and the line up the axis.

    The rim is the edge of a cylinder's top, the corner of a block's, and the top of a slab. A body too thin for ten
    millimetres is read in its middle.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    between : float or None, optional
        The height at which two layers meet, as a share of the whole [1]; None with one.

    Returns
    -------
    Probes
        Three single places, and `SHARES.size` from base to top.
    """
    up = max(body.height_mm - DEEP_MM, body.height_mm / 2) / body.height_mm
    sideways = tuple(np.stack([_END, _deep(way), WEIGHTS, _START]) for way in body.sideways)
    inside, mean = _height_row(up, between), _height_weights(between)
    return Probes(sideways, (_END[None, :], inside[None, :], mean[None, :], up_the_axis(between)))


@lru_cache(maxsize=256)
def rims_of(body: Body) -> Probes:
    """Return the probes at the rims of base and top, which reach the air's temperature first.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    Probes
        Two places: base, top.
    """
    return Probes(tuple(_END[None, :] for _ in body.sideways), (np.stack([_START, _END]),))


@lru_cache(maxsize=256)
def axis_of(body: Body, between: float | None = None) -> Probes:
    """Return the probes along the axis only.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    between : float or None, optional
        The height at which two layers meet, as a share of the whole [1]; None with one.

    Returns
    -------
    Probes
        `SHARES.size` places from base to top.
    """
    return Probes(tuple(_START[None, :] for _ in body.sideways), (up_the_axis(between),))


def _deep(way: Direction) -> Floats:
    return row_at(place_on(way.kind, max(way.mm - DEEP_MM, 0.0) / way.mm))


def temperatures(run: Timeline, minutes: Floats) -> Floats:
    """Compute the temperatures of a body at its places.

    Parameters
    ----------
    run : Timeline
        Solved cases, for example a `Run`.
    minutes : ndarray, shape (m,)
        When [min].

    Returns
    -------
    ndarray, shape (6, m)
        Rows `CENTRE`, `CORE` (the warmest point of the axis), `HEIGHT`, `RIM`, `DEEP` and `MEAN`: temperatures [°C],
        but the height of the core above the base as a share of the body's height [1].
    """
    found = run.read(probes_of(run.body, run.between), minutes)
    line = found[_SINGLE:]
    core, height = warmest(line)
    # A parabola can exceed its own points; the upper bound of all temperatures limits it.
    core = np.minimum(core, run.highest(minutes))
    values = np.empty((6, minutes.size))
    values[CENTRE], values[CORE], values[HEIGHT], values[RIM:] = line[MIDDLE], core, height, found[:_SINGLE]
    return values


def core(run: Timeline, minutes: Floats) -> Floats:
    """Compute the core temperature only, which is faster.

    Parameters
    ----------
    run : Timeline
        Solved cases, for example a `Run`.
    minutes : ndarray, shape (m,)
        When [min].

    Returns
    -------
    ndarray, shape (1, m)
        The warmest point of the axis [°C].
    """
    hottest, _ = warmest(run.read(axis_of(run.body, run.between), minutes))
    return np.minimum(hottest, run.highest(minutes))[None, :]


@lru_cache(maxsize=256)
def _layers_of(body: Body, between: float) -> Probes:
    lines = [
        np.stack([layered_row(begin + share * (end - begin), between) for share in SHARES.tolist()])
        for begin, end in ((0.0, between), (between, 1.0))
    ]
    return Probes(tuple(np.stack([_START, _START]) for _ in body.sideways), tuple(lines))


def layers(run: Timeline, minutes: Floats) -> Floats:
    """Compute the temperatures of two layers, along the axis.

    Parameters
    ----------
    run : Timeline
        Solved cases of two layers.
    minutes : ndarray, shape (m,)
        When [min].

    Returns
    -------
    ndarray, shape (4, m)
        The warmest point of the lower and of the upper layer, and the middle of the lower and of the upper [°C].
    """
    lines = run.read(_layers_of(run.body, run.between or 0.0), minutes).reshape(2, SHARES.size, minutes.size)
    highest = run.highest(minutes)
    hottest = [np.minimum(warmest(line)[0], highest) for line in lines]
    return np.stack([*hottest, *lines[:, MIDDLE]])


def rims(run: Timeline, minutes: Floats) -> Floats:
    """Compute the temperatures of the rims of base and top.

    Parameters
    ----------
    run : Timeline
        Solved cases, for example a `Run`.
    minutes : ndarray, shape (m,)
        When [min].

    Returns
    -------
    ndarray, shape (2, m)
        Base, top [°C].
    """
    return run.read(rims_of(run.body), minutes)


def warmest(line: Floats) -> tuple[Floats, Floats]:
    """Find the warmest point of the axis: a parabola through the warmest of `SHARES` and its neighbours.

    Parameters
    ----------
    line : ndarray, shape (SHARES.size, m)
        Temperatures up the axis [°C].

    Returns
    -------
    tuple of ndarray, shape (m,)
        Temperature [°C] and height as a share of the body's height [1].
    """
    at = line.argmax(axis=0)
    inner = np.minimum(np.maximum(at, 1), _STEPS - 1)
    flat, width = line.ravel(), line.shape[1]
    when = np.arange(width)
    middle = inner * width + when
    below, here, above = flat[middle - width], flat[middle], flat[middle + width]
    bend = below - 2 * here + above
    slope = (above - below) / 2
    # A flat stretch (all of one temperature) has no vertex, and one beyond the end leaves the end as the warmest.
    curved = (bend < 0) & (np.abs(slope) <= -bend)
    shift = np.where(curved, -slope / np.where(curved, bend, 1.0), 0.0)
    hottest = np.where(curved, here + slope * shift / 2, flat[at * width + when])
    return hottest, np.where(curved, inner + shift, at) / _STEPS
