"""How fast the chilling model is: `make bench` prints a table.

Beside it stands, in the same run, what one would write without separating the directions: a two-dimensional implicit
finite-volume solution of the cylinder (20 by 20 cells, TR-BDF2 steps of at most 240 s, one factorisation a stage and
step) that follows centre and core to the three limits. It answers less: no places near the rim, no warming.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.sparse import csc_matrix, diags, identity, kron
from scipy.sparse.linalg import splu

from costing.chilling import (
    CARRIED,
    PROFILES,
    Case,
    Cylinder,
    Plan,
    Stage,
    answer,
    cooling_range,
    depth,
    diameter,
    read_case,
    report,
    time_out_limit,
    trial,
    trials,
    warming_range,
    warming_times,
    with_air,
    without_room_time,
)
from costing.chilling.profiles import COLD_C, COOKED, HOT_C, LUKEWARM_C
from tests.published.chilling import CASES

ROUNDS = 21
CELLS = 20
STEP_S = 240.0
GAMMA = 2 - 2**0.5
Floats = npt.NDArray[np.float64]
LIMITS = (HOT_C, LUKEWARM_C, COLD_C)


def best_ms(work: Callable[[], Any], rounds: int = ROUNDS) -> tuple[float, float]:
    """Return the least and the median time of some work in CPU milliseconds, after one round to warm up."""
    work()
    taken = []
    for _ in range(rounds):
        begun = time.process_time()
        work()
        taken.append((time.process_time() - begun) * 1000)
    return min(taken), statistics.median(taken)


def bands(conductances: Floats, losses: Floats, capacities: Floats) -> csc_matrix:
    """Return one direction's part of dT/dt: conductances between cells, losses at the ends, capacities of the cells."""
    through = np.concatenate([[0.0], conductances, [0.0]])
    main = -(through[:-1] + through[1:]) - losses
    return csc_matrix(diags([conductances, main, conductances], [-1, 0, 1]) / capacities[:, None])


def film(h: float, depth: float, k: float) -> float:
    """Return a film and the half cell behind it in series."""
    return 1 / (1 / h + depth / 2 / k) if h else 0.0


def operator(case: Case, stage: Stage) -> csc_matrix:
    """Return the two-dimensional dT/dt = A (T - air) of a stage; cell (r, z) is number r * CELLS + z."""
    assert isinstance(case.body, Cylinder)
    k, heat = case.food.k, case.food.rho * case.food.cp
    dr, dz = case.body.diameter_mm / 2000 / CELLS, case.body.height_mm / 1000 / CELLS
    faces: Floats = np.arange(CELLS + 1, dtype=np.float64) * dr
    side, ends = np.zeros(CELLS), np.zeros(CELLS)
    side[-1] = film(stage.h_side, dr, k) * faces[-1]
    ends[[0, -1]] = film(stage.h_bottom, dz, k), film(stage.h_top, dz, k)
    radial = bands(k * faces[1:-1] / dr, side, heat * (faces[1:] ** 2 - faces[:-1] ** 2) / 2)
    axial = bands(np.full(CELLS - 1, k / dz), ends, np.full(CELLS, heat * dz))
    one = identity(CELLS)
    return csc_matrix(kron(radial, one) + kron(one, axial))


def two_dimensional(case: Case) -> list[float | None]:
    """Follow the core in two dimensions and give when it falls through the limits [min]."""
    state, now = np.full(CELLS**2, case.initial_c), 0.0
    times, cores = [0.0], [case.initial_c]
    unit = identity(CELLS**2, format="csc")
    for stage in case.stages:
        matrix, above = operator(case, stage), state - stage.ambient_c
        steps = max(1, int(np.ceil(stage.minutes * 60 / STEP_S)))
        step = stage.minutes * 60 / steps
        implicit = splu(csc_matrix(unit - GAMMA / 2 * step * matrix))
        for _ in range(steps):
            middle = implicit.solve(above + GAMMA / 2 * step * (matrix @ above))
            above = implicit.solve((middle / GAMMA - above * (1 - GAMMA) ** 2 / GAMMA) / (2 - GAMMA))
            now += step / 60
            times.append(now)
            cores.append(float(above[:CELLS].max()) + stage.ambient_c)
        state = above + stage.ambient_c
    return [_fall(np.array(times), np.array(cores), limit) for limit in LIMITS]


def _fall(times: Floats, cores: Floats, limit: float) -> float | None:
    falls = np.flatnonzero((cores[:-1] >= limit) & (cores[1:] < limit))
    if not falls.size:
        return None
    at = falls[0]
    return float(times[at] + (times[at + 1] - times[at]) * (cores[at] - limit) / (cores[at] - cores[at + 1]))


def plan_work() -> dict[str, Callable[[], Any]]:
    """Name what pages and windows ask of a cake that fails its rule (O02), and how to work it out."""
    case, _ = read_case(CASES[1]["inputs"])
    plan = Plan(case.body, case.food, case.initial_c, case.stages, PROFILES[COOKED])
    molds = [replace(plan, body=Cylinder(mm, case.body.height_mm)) for mm in (100, 150, 200)]

    def remedies() -> list[Any]:
        airs = [
            with_air(plan, "fan"),
            with_air(plan, "blast"),
            without_room_time(plan),
            without_room_time(plan, "blast"),
        ]
        return [depth(plan), diameter(plan), *airs, *trials(molds)]

    return {
        f"nine points with both warm-ups ({CASES[1]['id']})": lambda: (
            cooling_range(case, LIMITS),
            warming_range(case),
        ),
        "a window: when it is cold, and whether the rule is kept": lambda: trial(plan),
        "a window: how long it may be out": lambda: time_out_limit(plan.rule, plan.body, plan.food, "carton", 25),
        "a page: report": lambda: report(plan),
        "a page: remedies (depth, diameter, four airs, three moulds)": remedies,
        "a page: time out of the cold in three boxes": lambda: [
            warming_times(plan.body, plan.food, carried, 25) for carried in CARRIED
        ],
        "a page in all": lambda: (
            report(plan),
            remedies(),
            [warming_times(plan.body, plan.food, carried, 25) for carried in CARRIED],
        ),
    }


def main() -> None:
    """Print the table."""
    line = "{:<6}{:>10}{:>10}{:>10}{:>8}{:>14}{:>14}"
    rows = [line.format("case", "best ms", "median", "2-D ms", "ratio", "core to 41 °F", "2-D says")]
    medians, ratios = [], []
    for data in CASES:
        case, cooked = read_case(data["inputs"])
        best, median = best_ms(partial(answer, case, cooked=cooked))
        medians.append(median)
        minutes = answer(case, cooked=cooked)["minutes_to"]["core"]["41F_5.00C"]
        row = [data["id"], f"{best:.2f}", f"{median:.2f}", "", "", f"{minutes:.1f}", ""]
        if isinstance(case.body, Cylinder):
            _, slow = best_ms(partial(two_dimensional, case), 3)
            ratios.append(slow / median)
            row[3:] = [f"{slow:.0f}", f"{slow / median:.0f}", row[5], f"{two_dimensional(case)[2]:.1f}"]
        rows.append(line.format(*row))
    rows.append(
        f"all cases: median {statistics.median(medians):.2f} ms, 2-D takes {statistics.median(ratios):.0f} times"
    )
    for name, work in plan_work().items():
        best, median = best_ms(work)
        rows.append(f"{name}: best {best:.1f} ms, median {median:.1f} ms")
    sys.stdout.write("\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
