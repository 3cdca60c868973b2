"""The decay modes of one direction of a body, under the films at its ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from costing.chilling.baths import as_mixed, stirred_film
from costing.chilling.bodies import Direction
from costing.chilling.composition import Food
from costing.chilling.layers import Layer, Problem, layered_problem
from costing.chilling.lobatto import FACE, STIFFNESS, WEIGHTS, Floats

_SECONDS = 60.0


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


@dataclass(frozen=True, slots=True)
class Modes:
    """The decay modes of directions, each under its film coefficients.

    Parameters
    ----------
    rates : ndarray, shape (..., NODES)
        Decay rate of each mode [1/min].
    shapes : ndarray, shape (..., NODES, NODES)
        Values of the modes (columns) at the nodes (rows).
    weights : ndarray, shape (..., NODES)
        Weights of the nodes under which the modes are orthogonal and of length 1.
    """

    rates: Floats
    shapes: Floats
    weights: Floats


@dataclass(frozen=True, slots=True)
class Within:
    """A direction with what is in it and at its ends.

    Parameters
    ----------
    way : Direction
        The direction.
    ends : tuple of float
        Film coefficients at its 0 and 1 [W/m2 K].
    food : Food
        Properties of what is in it; of two layers those of the lower.
    layered : tuple of float and Layer, or None
        Thickness of the lower layer [mm], and the upper one; None with one.
    stirred_every_min : float or None
        How often it is stirred [min]; None when it stands.
    """

    way: Direction
    ends: tuple[float, float]
    food: Food
    layered: tuple[float, Layer] | None = None
    stirred_every_min: float | None = None

    def problem(self) -> Problem:
        """Set up its eigenvalue problem."""
        if self.stirred_every_min is not None:
            return _faster(
                self._stirred(self.stirred_every_min).problem(), replace(self, stirred_every_min=None).problem()
            )
        if self.layered is not None:
            return layered_problem(self.food, *self.layered, self.ends)
        rate = self.food.alpha * _SECONDS / (self.way.mm / 1000) ** 2
        return Problem(biot_matrix(self.way, self.food, self.ends), WEIGHTS, rate)

    def _stirred(self, every_min: float) -> Within:
        """Return the same as one lump behind the film that stirring makes."""
        inner = stirred_film(self.food, every_min)
        first, last = (film * inner / (film + inner) for film in self.ends)
        layered = self.layered and (self.layered[0], replace(self.layered[1], food=as_mixed(self.layered[1].food)))
        return Within(self.way, (first, last), as_mixed(self.food), layered)


def _faster(stirred: Problem, standing: Problem) -> Problem:
    """Return what loses heat faster: a film so thin or stirred so rarely conducts better than the film of stirring."""
    return standing if _decay(standing) > _decay(stirred) else stirred


def _decay(problem: Problem) -> float:
    return float(np.linalg.eigvalsh(problem.matrix)[0] * problem.rate)


def solved(wanted: Sequence[Within], shape: tuple[int, ...]) -> Modes:
    """Solve directions, each set of films once.

    Parameters
    ----------
    wanted : sequence of Within
        One or more.
    shape : tuple of int
        The first axes of the result.

    Returns
    -------
    Modes
        Their modes, in order.
    """
    sets = {one: at for at, one in enumerate(dict.fromkeys(wanted))}
    problems = [one.problem() for one in sets]
    values, vectors = np.linalg.eigh(np.stack([one.matrix for one in problems]))
    scales, weights = np.array([one.rate for one in problems]), np.stack([one.weights for one in problems])
    # An insulated direction has a decay rate of zero: rounding must not make it negative.
    rates, shapes = np.maximum(values, 0.0) * scales[:, None], vectors / np.sqrt(weights)[..., None]
    at = np.array([sets[one] for one in wanted]).reshape(shape)
    return Modes(rates[at], shapes[at], weights[at])
