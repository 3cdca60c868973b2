"""A solver of conduction that shares no code with the project's: finite volumes in one or two directions, BDF in time.

Cells have a heat capacity, conduct to their neighbors through the faces between them, and lose heat through films. It
knows no products, no modes and no polynomials, and its bodies may have layers, or be round at the bottom.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.sparse import coo_matrix, csc_matrix, diags

Floats = npt.NDArray[np.float64]


@dataclass
class Volumes:
    """Cells: heat capacities [J/K], conductances between pairs and to the air [W/K]."""

    heat: Floats
    pairs: list[tuple[int, int, float]] = field(default_factory=list)
    films: dict[int, float] = field(default_factory=dict)

    def join(self, one: int, other: int, conductance: float) -> None:
        self.pairs.append((one, other, conductance))

    def lose(self, cell: int, conductance: float) -> None:
        self.films[cell] = self.films.get(cell, 0.0) + conductance

    def matrix(self) -> csc_matrix:
        """dT/dt = matrix @ (T - air) [1/s]."""
        one, other, through = (np.array(part) for part in zip(*self.pairs, strict=True))
        size = self.heat.size
        between = coo_matrix((through, (one, other)), shape=(size, size)).tocsc()
        between = between + between.T
        losses = np.array([self.films.get(cell, 0.0) for cell in range(size)])
        whole = between - diags(np.asarray(between.sum(axis=1)).ravel() + losses)
        return csc_matrix(diags(1 / self.heat) @ whole)


Course = Callable[[float], Floats]


def followed(volumes: Volumes, start: Floats, air_c: float, minutes: float) -> Course:
    """Return all cells' temperatures as a function of the minute."""
    matrix = volumes.matrix()
    found = solve_ivp(
        lambda _, above: matrix @ above,
        (0.0, minutes * 60),
        start - air_c,
        method="BDF",
        jac=matrix,
        rtol=1e-6,
        atol=1e-6,
        dense_output=True,
    )
    assert found.success
    return lambda minute: found.sol(minute * 60) + air_c


def hottest_falls(course: Course, limits: Sequence[float], until: float, cells: slice = slice(None)) -> list[float]:
    """Return when the hottest of some cells last falls through each limit [min]."""
    return [brentq(lambda minute, c=limit: course(minute)[cells].max() - c, 0.01, until, xtol=1e-3) for limit in limits]


def _film(h: float, half_m: float, k: float) -> float:
    """A film and half a cell in series [W/m2 K]."""
    return 1 / (1 / h + half_m / k) if h else 0.0


def column(layers: Sequence[tuple[float, float, float, int]], h_bottom: float, h_top: float) -> Volumes:
    """One square meter of layers, each (thickness [m], k, rho cp, cells), from the base up."""
    sizes = np.concatenate([np.full(cells, deep / cells) for deep, _, _, cells in layers])
    ks = np.concatenate([np.full(cells, k) for _, k, _, cells in layers])
    heats = np.concatenate([np.full(cells, heat) for _, _, heat, cells in layers])
    found = Volumes(sizes * heats)
    for at in range(sizes.size - 1):
        found.join(at, at + 1, 1 / (sizes[at] / 2 / ks[at] + sizes[at + 1] / 2 / ks[at + 1]))
    found.lose(0, _film(h_bottom, sizes[0] / 2, ks[0]))
    found.lose(sizes.size - 1, _film(h_top, sizes[-1] / 2, ks[-1]))
    return found


def drum(
    radius: float,
    layers: Sequence[tuple[float, float, float, int]],
    films: tuple[float, float, float],
    rings: int = 24,
) -> Volumes:
    """A cylinder of layers, each (thickness [m], k, rho cp, cells); films at base, side and top."""
    sizes = np.concatenate([np.full(cells, deep / cells) for deep, _, _, cells in layers])
    ks = np.concatenate([np.full(cells, k) for _, k, _, cells in layers])
    heats = np.concatenate([np.full(cells, heat) for _, _, heat, cells in layers])
    edges = np.linspace(0.0, radius, rings + 1)
    areas = np.pi * np.diff(edges**2)
    found, high = Volumes((areas[:, None] * (sizes * heats)[None, :]).ravel()), sizes.size
    wide = radius / rings
    for ring in range(rings):
        for at in range(high):
            cell = ring * high + at
            if ring + 1 < rings:
                face = 2 * np.pi * edges[ring + 1] * sizes[at]
                found.join(cell, cell + high, ks[at] * face / wide)
            else:
                found.lose(cell, _film(films[1], wide / 2, ks[at]) * 2 * np.pi * radius * sizes[at])
            if at + 1 < high:
                through = 1 / (sizes[at] / 2 / ks[at] + sizes[at + 1] / 2 / ks[at + 1])
                found.join(cell, cell + 1, through * areas[ring])
        found.lose(ring * high, _film(films[0], sizes[0] / 2, ks[0]) * areas[ring])
        found.lose(ring * high + high - 1, _film(films[2], sizes[-1] / 2, ks[-1]) * areas[ring])
    return found


def half_ball(radius: float, k: float, heat: float, h_round: float, h_top: float, cells: int = 30) -> Volumes:
    """The filling of a half-spherical bowl, in spherical coordinates: exact faces, none of them a staircase."""
    edges, turns = np.linspace(0.0, radius, cells + 1), np.linspace(0.0, np.pi / 2, cells + 1)
    caps = np.cos(turns[:-1]) - np.cos(turns[1:])
    rims = np.diff(edges**2)
    found = Volumes((2 * np.pi / 3 * np.diff(edges**3)[:, None] * caps[None, :] * heat).ravel())
    deep, turn = radius / cells, np.pi / 2 / cells
    for shell in range(cells):
        middle = (edges[shell] + edges[shell + 1]) / 2
        for at in range(cells):
            cell = shell * cells + at
            face = 2 * np.pi * edges[shell + 1] ** 2 * caps[at]
            if shell + 1 < cells:
                found.join(cell, cell + cells, k * face / deep)
            else:
                found.lose(cell, _film(h_round, deep / 2, k) * face)
            if at + 1 < cells:
                found.join(cell, cell + 1, k * np.pi * rims[shell] * np.sin(turns[at + 1]) / (middle * turn))
        found.lose(shell * cells + cells - 1, _film(h_top, middle * turn / 2, k) * np.pi * rims[shell])
    return found


def bowl(curve: float, deep: float, k: float, heat: float, h_round: float, h_top: float, rows: int = 60) -> Volumes:
    """The filling of a part of a sphere: upright columns on a round base, with the films on its true surface."""
    size = deep / rows
    widest = np.sqrt(deep * (2 * curve - deep))
    edges = np.linspace(0.0, widest, int(np.ceil(widest / size)) + 1)
    rise = curve - np.sqrt(curve**2 - edges**2)
    floors = np.minimum(np.round((rise[:-1] + rise[1:]) / 2 / size).astype(int), rows - 1)
    areas, tops = np.pi * np.diff(edges**2), 0
    begins, heats = [], []
    for ring, floor in enumerate(floors):
        begins.append(tops - floor)
        high = rows - floor
        volume = areas[ring] * (deep - (rise[ring] + rise[ring + 1]) / 2)
        heats.append(np.full(high, volume / high * heat))
        tops += high
    found = Volumes(np.concatenate(heats))
    wide = edges[1]
    for ring, floor in enumerate(floors):
        for at in range(floor, rows):
            cell = begins[ring] + at
            if at + 1 < rows:
                found.join(cell, cell + 1, k * areas[ring] / size)
            if ring + 1 < len(floors) and at >= floors[ring + 1]:
                found.join(cell, begins[ring + 1] + at, k * 2 * np.pi * edges[ring + 1] * size / wide)
        skin = 2 * np.pi * curve * (rise[ring + 1] - rise[ring])
        found.lose(begins[ring] + floor, _film(h_round, size / 2, k) * skin)
        found.lose(begins[ring] + rows - 1, _film(h_top, size / 2, k) * areas[ring])
    return found
