"""Places in a body that temperatures are asked of: rim, ten millimetres in, mean, centre and the line up the axis."""

from __future__ import annotations

import numpy as np

from costing.chilling.bodies import Body, Direction
from costing.chilling.conduction import Probe
from costing.chilling.lobatto import WEIGHTS, Floats, place_on, row_at

DEEP_MM = 10.0
"""How far inside the rim the “10 mm” place lies [mm]; common practice, no source: about where a probe can be read."""

_STEPS = 64
SHARES: Floats = np.linspace(0.0, 1.0, _STEPS + 1)
"""Shares of the height at which the axis is read."""
MIDDLE = _STEPS // 2
"""Which of `SHARES` is half the height."""

_UP_THE_AXIS: Floats = np.stack([row_at(share) for share in SHARES.tolist()])
_START, _END = row_at(0.0), row_at(1.0)


def axis(body: Body) -> Probe:
    """Give the line up the axis, from base to top, at `SHARES` of the height.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    Probe
        `SHARES.size` places.
    """
    return Probe(tuple(_START for _ in body.sideways), _UP_THE_AXIS)


def centre(body: Body) -> Probe:
    """Give the geometric centre.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    Probe
        One place.
    """
    return Probe(tuple(_START for _ in body.sideways), _UP_THE_AXIS[MIDDLE : MIDDLE + 1])


def mean(body: Body) -> Probe:
    """Give the mean over the volume.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    Probe
        One place.
    """
    return Probe(tuple(WEIGHTS for _ in body.sideways), WEIGHTS[None, :])


def rim(body: Body) -> Probe:
    """Give the rim of the top: the edge of a cylinder, the corner of a block, the top of a slab.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    Probe
        One place.
    """
    return Probe(tuple(_END for _ in body.sideways), _END[None, :])


def rims(body: Body) -> Probe:
    """Give the rims of base and top, where a body meets the air's temperature first.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    Probe
        Two places: base, top.
    """
    return Probe(tuple(_END for _ in body.sideways), np.stack([_START, _END]))


def ten_mm_in(body: Body) -> Probe:
    """Give the place ten millimetres from side and top, or in the middle of what is thinner.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.

    Returns
    -------
    Probe
        One place.
    """
    up = max(body.height_mm - DEEP_MM, body.height_mm / 2) / body.height_mm
    return Probe(tuple(_deep(way) for way in body.sideways), row_at(up)[None, :])


def _deep(way: Direction) -> Floats:
    return row_at(place_on(way.kind, max(way.mm - DEEP_MM, 0.0) / way.mm))


def warmest(temperatures: Floats) -> tuple[Floats, Floats]:
    """Find the warmest point of the axis: a parabola through the warmest of `SHARES` and its neighbours.

    Parameters
    ----------
    temperatures : ndarray, shape (SHARES.size, m)
        Temperatures up the axis [°C].

    Returns
    -------
    tuple of ndarray, shape (m,)
        Temperature [°C] and height as a share of the body's height [1].
    """
    at = np.argmax(temperatures, axis=0)
    inner = np.clip(at, 1, _STEPS - 1)
    when = np.arange(temperatures.shape[1])
    below, here, above = (temperatures[inner + step, when] for step in (-1, 0, 1))
    bend = below - 2 * here + above
    slope = (above - below) / 2
    # A flat stretch (all of one temperature) and an end have no parabola of their own.
    curved = (bend < 0) & (at == inner)
    shift = np.where(curved, -slope / np.where(curved, bend, 1.0), 0.0)
    hottest = np.where(curved, here + slope * shift / 2, temperatures[at, when])
    return hottest, (at + shift) / _STEPS


def coldest(temperatures: Floats) -> Floats:
    """Find the temperature of the coldest point of the axis.

    Parameters
    ----------
    temperatures : ndarray, shape (SHARES.size, m)
        Temperatures up the axis [°C].

    Returns
    -------
    ndarray, shape (m,)
        Temperature [°C].
    """
    return -warmest(-temperatures)[0]
