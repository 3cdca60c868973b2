"""Polynomials on Gauss-Lobatto nodes, used to solve conduction in one direction.

A direction runs from 0 to 1 and its temperature is a polynomial through `NODES` nodes that crowd towards both ends,
where temperatures change fastest. The radial coordinate is the square of the radius, in which the temperatures of a
cylinder are smooth at the axis. Seventeen nodes give times to a few parts in a million, and resolve even the rim within
its first minute.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from numpy.polynomial import legendre

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Probes:
    """Where temperatures are read: vertical lines, each at its own sideways position.

    Parameters
    ----------
    sideways : tuple of ndarray, shape (lines, NODES)
        For each direction towards the side a row for each line.
    heights : tuple of ndarray, shape (places, NODES)
        For each line its rows up the height.
    """

    sideways: tuple[Floats, ...]
    heights: tuple[Floats, ...]


NODES: Final = 17
"""Nodes in each direction; odd, so that one stands in the middle."""


def lobatto(count: int) -> tuple[Floats, Floats]:
    """Return Gauss-Lobatto nodes and weights on 0..1.

    Parameters
    ----------
    count : int
        How many nodes, at least 2.

    Returns
    -------
    tuple of ndarray, shape (count,)
        Nodes, including both ends, and weights that add up to 1.

    References
    ----------
    Abramowitz and Stegun, 25.4.32.
    """
    series = np.zeros(count)
    series[-1] = 1.0
    inside = np.sort(legendre.legroots(legendre.legder(series)).real)
    nodes = np.concatenate([[-1.0], inside, [1.0]])
    weights = 2.0 / (count * (count - 1) * legendre.legval(nodes, series) ** 2)
    return (nodes + 1) / 2, weights / 2


def barycentric(nodes: Floats) -> Floats:
    """Return the barycentric weights of some nodes.

    Parameters
    ----------
    nodes : ndarray, shape (n,)
        Distinct nodes.

    Returns
    -------
    ndarray, shape (n,)
        Weights.

    References
    ----------
    Berrut and Trefethen, Barycentric Lagrange interpolation, SIAM Review 46 (2004), equation 3.2.
    """
    apart = nodes[:, None] - nodes[None, :]
    np.fill_diagonal(apart, 1.0)
    return np.asarray(1.0 / apart.prod(axis=1), dtype=np.float64)


def derivative(nodes: Floats) -> Floats:
    """Return the matrix that differentiates a polynomial given by its values at nodes.

    Parameters
    ----------
    nodes : ndarray, shape (n,)
        Distinct nodes.

    Returns
    -------
    ndarray, shape (n, n)
        Values to slopes.

    References
    ----------
    Berrut and Trefethen 2004, equations 9.4 and 9.5.
    """
    weights = barycentric(nodes)
    apart = nodes[:, None] - nodes[None, :]
    np.fill_diagonal(apart, 1.0)
    slopes = weights[None, :] / weights[:, None] / apart
    np.fill_diagonal(slopes, 0.0)
    np.fill_diagonal(slopes, -slopes.sum(axis=1))
    return np.asarray(slopes, dtype=np.float64)


X, WEIGHTS = lobatto(NODES)
ROOTS = np.sqrt(WEIGHTS)
_SLOPES = derivative(X)
_BARYCENTRIC = barycentric(X)
_SAME = 1e-13


def _symmetric(conducts: Floats) -> Floats:
    stiffness = _SLOPES.T @ ((WEIGHTS * conducts)[:, None] * _SLOPES)
    return np.asarray(stiffness / np.outer(ROOTS, ROOTS), dtype=np.float64)


STIFFNESS: dict[str, Floats] = {
    "height": _symmetric(np.ones(NODES)),
    "half": _symmetric(np.ones(NODES)),
    # With s = (r/R)^2 the operator (1/r)(r u')' becomes 4 (s u')' / R^2.
    "radial": _symmetric(4.0 * X),
}
"""Kind of direction to its stiffness, made symmetric by the nodes' weights; in units of 1 / length^2."""

LAYER_X, LAYER_WEIGHTS = lobatto((NODES + 1) // 2)
"""Nodes and weights of each of two layers, which share the node between them: `NODES` in all."""

_LAYER_SLOPES = derivative(LAYER_X)
LAYER_STIFFNESS: Floats = _LAYER_SLOPES.T @ (LAYER_WEIGHTS[:, None] * _LAYER_SLOPES)
"""Stiffness of one layer, not divided by its weights; in units of 1 / length^2."""

FACE: dict[str, float] = {"height": 1.0, "half": 1.0, "radial": 2.0}
"""Kind of direction to what a Biot number adds at its end: surface by volume, in units of 1 / length."""


def place_on(kind: str, share: float) -> float:
    """Return the coordinate of a place in a direction.

    Parameters
    ----------
    kind : str
        Kind of the direction.
    share : float
        How far along it, 0 to 1.

    Returns
    -------
    float
        Coordinate, 0 to 1.
    """
    return share * share if kind == "radial" else share


def over_layers(lower: Floats, upper: Floats) -> Floats:
    """Put what belongs to the nodes of two layers on the nodes of both; at the node between them it adds up.

    Parameters
    ----------
    lower : ndarray, shape (n,) or (n, n)
        Of the lower layer's nodes.
    upper : ndarray, shape (n,) or (n, n)
        Of the upper layer's nodes.

    Returns
    -------
    ndarray, shape (NODES,) or (NODES, NODES)
        Of all nodes.
    """
    whole = np.zeros((NODES,) * lower.ndim)
    first, second = slice(None, LAYER_X.size), slice(LAYER_X.size - 1, None)
    whole[(first,) * lower.ndim] += lower
    whole[(second,) * lower.ndim] += upper
    return whole


def layered_row(share: float, between: float) -> Floats:
    """Return the row that evaluates the temperatures of two layers at a height.

    Parameters
    ----------
    share : float
        The height as a share of the whole, 0 to 1.
    between : float
        The height at which the layers meet, as a share of the whole, above 0 and below 1.

    Returns
    -------
    ndarray, shape (NODES,)
        A row that adds up to 1.
    """
    none = np.zeros(LAYER_X.size)
    if share <= between:
        return over_layers(row_at(share / between, LAYER_X), none)
    return over_layers(none, row_at((share - between) / (1 - between), LAYER_X))


def row_at(coordinate: float, nodes: Floats = X) -> Floats:
    """Return the row that evaluates a polynomial at a coordinate from its values at nodes.

    Parameters
    ----------
    coordinate : float
        From 0 to 1.
    nodes : ndarray, shape (n,), optional
        Distinct nodes; those of a direction when left out.

    Returns
    -------
    ndarray, shape (n,)
        A row that adds up to 1.

    References
    ----------
    Berrut and Trefethen 2004, equation 4.2.
    """
    apart = coordinate - nodes
    hit = np.abs(apart) < _SAME
    if hit.any():
        return hit.astype(np.float64)
    row = (_BARYCENTRIC if nodes is X else barycentric(nodes)) / apart
    return np.asarray(row / row.sum(), dtype=np.float64)
