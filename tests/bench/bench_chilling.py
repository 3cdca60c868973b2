"""How fast the chilling model is: `make bench` prints a table.

Beside it stands, in the same run, what one would write without separating the directions: a two-dimensional implicit
finite-volume solution of the cylinder (20 by 20 cells, TR-BDF2 steps of at most 240 s, one factorisation a stage and
step) that follows centre and core to the three limits. It answers less: no places near the rim, no warming.

Ice baths and layers have baselines of the same kind: the pot in two directions, stirred by mixing all cells every ten
minutes; the layers in one direction (60 cells each). Each follows the hottest cell at the likely figures alone, so its
time is compared with a whole report (nine points, verdicts, curve) and with one solution.
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
    ICE_BATH,
    ICE_WATER_C,
    PROFILES,
    Case,
    Cylinder,
    Fill,
    Food,
    Layer,
    Plan,
    Slab,
    Stage,
    Vessel,
    answer,
    batch_remedies,
    cooling_range,
    core_times,
    depth,
    diameter,
    filled,
    food_of,
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
    return marched(case, np.full(CELLS**2, case.initial_c), partial(operator, case), slice(CELLS))


def marched(
    case: Case, state: Floats, matrix_of: Callable[[Stage], csc_matrix], core: slice, weights: Floats | None = None
) -> list[float | None]:
    """March cells through the stages, mixed to their mean where they are stirred, until all limits are passed."""
    now, times, cores = 0.0, [0.0], [float(state.max())]
    unit = identity(state.size, format="csc")
    for stage in case.stages:
        matrix, above = matrix_of(stage), state - stage.ambient_c
        longest = STEP_S if stage.stirred_every_min is None else min(STEP_S, stage.stirred_every_min * 15)
        steps = max(1, int(np.ceil(stage.minutes * 60 / longest)))
        step = stage.minutes * 60 / steps
        implicit = splu(csc_matrix(unit - GAMMA / 2 * step * matrix))
        for at in range(steps):
            middle = implicit.solve(above + GAMMA / 2 * step * (matrix @ above))
            above = implicit.solve((middle / GAMMA - above * (1 - GAMMA) ** 2 / GAMMA) / (2 - GAMMA))
            if stage.stirred_every_min is not None and (at + 1) % 4 == 0:
                above = np.full(above.size, np.average(above, weights=weights))
            now += step / 60
            times.append(now)
            cores.append(float(above[core].max()) + stage.ambient_c)
        state = above + stage.ambient_c
    return [_fall(np.array(times), np.array(cores), limit) for limit in LIMITS]


def rings() -> Floats:
    """Return the share of each cell's volume in a cylinder, in the order of `operator`."""
    edges = np.linspace(0.0, 1.0, CELLS + 1)
    return np.repeat(np.diff(edges**2), CELLS) / CELLS


def layered_operator(case: Case, stage: Stage) -> csc_matrix:
    """Return the one-dimensional dT/dt = A (T - air) of two layers in a stage, 60 cells each."""
    assert case.top is not None
    sizes = np.repeat([case.lower_mm, case.top.height_mm], 60) / 1000 / 60
    foods = (case.food, case.top.food)
    k, heat = (np.repeat([value(food) for food in foods], 60) for value in (lambda f: f.k, lambda f: f.rho * f.cp))
    ends = np.zeros(120)
    ends[[0, -1]] = film(stage.h_bottom, sizes[0], k[0]), film(stage.h_top, sizes[-1], k[-1])
    halves = sizes / 2 / k
    return bands(1 / (halves[:-1] + halves[1:]), ends, heat * sizes)


def layered_volumes(case: Case) -> list[float | None]:
    """Follow two layers in one direction and give when the hottest cell falls through the limits [min]."""
    assert case.top is not None
    begin = np.repeat([case.initial_c, case.top.initial_c], 60)
    return marched(case, begin, partial(layered_operator, case), slice(None))


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


CURD = {"water": 45, "fat": 20, "protein": 4, "carb": 30, "ash": 1}


def batch_plans() -> dict[str, tuple[Plan, Callable[[Case], list[float | None]]]]:
    """Name batches and layers, each with its baseline."""
    food, pot = food_of(CURD), Vessel("pot", 200, diameter_mm=240)
    fill, around = filled(pot, 4.0, food.rho), pot.surroundings()
    stirred, still = (around.stage(ICE_BATH, 1500, ICE_WATER_C, every) for every in (10, None))
    cake = Plan(Slab(65), food, 5.0, (around.stage("fan", 900, 3),), PROFILES[COOKED], top=Layer(food, 20, 65.0))
    mixing = partial(_stirred_volumes, weights=rings())
    return {
        "a pot in an ice bath": (_batch(fill, food, still), two_dimensional),
        "a pot in an ice bath, stirred": (_batch(fill, food, stirred), mixing),
        "two layers": (cake, layered_volumes),
    }


def _batch(fill: Fill, food: Food, stage: Stage) -> Plan:
    return Plan(fill.body, food, 80.0, (stage,), PROFILES[COOKED], fill.vessel.surroundings(), fill=fill)


def _stirred_volumes(case: Case, weights: Floats) -> list[float | None]:
    return marched(case, np.full(CELLS**2, case.initial_c), partial(operator, case), slice(None), weights)


def batch_rows() -> list[str]:
    """Return a line for each batch: one solution, the whole report and the baseline, with their ratio."""
    line = "{:<32}{:>12}{:>12}{:>13}{:>8}{:>14}{:>14}"
    rows = [line.format("batch", "core ms", "report ms", "baseline ms", "ratio", "core to 41 °F", "it says")]
    for name, (plan, baseline) in batch_plans().items():
        _, alone = best_ms(partial(_core, plan))
        _, whole = best_ms(partial(report, plan))
        _, slow = best_ms(partial(baseline, plan.case), 3)
        ours, theirs = _core(plan)[2] or 0, baseline(plan.case)[2] or 0
        figures = (f"{alone:.2f}", f"{whole:.1f}", f"{slow:.0f}", f"{slow / alone:.0f}", f"{ours:.1f}", f"{theirs:.1f}")
        rows.append(line.format(name, *figures))
    return [*rows, *_lines(batch_work())]


def _core(plan: Plan) -> list[float | None]:
    return core_times(plan.case.run(), LIMITS)


def batch_work() -> dict[str, Callable[[], Any]]:
    """Name what a recipe's page and a day's list ask of a batch that fails its rule."""
    food, tub = food_of(CURD), Vessel("tub", 65, length_mm=250, width_mm=160)
    around = tub.surroundings()
    stages = (around.stage("room", 20, 21), around.stage("still", 240, 3))
    fill = filled(tub, 2.6, food.rho)
    plan = Plan(fill.body, food, 80.0, stages, PROFILES[COOKED], around, fill=fill)
    return {
        "a batch: what would help": lambda: batch_remedies(plan),
        "a batch: report and what would help": lambda: (report(plan), batch_remedies(plan)),
        "a day's list: 20 batches tried": lambda: [trial(replace(plan, initial_c=80.0 + at)) for at in range(20)],
    }


def _lines(works: dict[str, Callable[[], Any]]) -> list[str]:
    measured = {name: best_ms(work) for name, work in works.items()}
    return [f"{name}: best {best:.1f} ms, median {median:.1f} ms" for name, (best, median) in measured.items()]


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
    rows += [*_lines(plan_work()), *batch_rows()]
    sys.stdout.write("\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
