"""Ice baths, stirring and bowls against values computed apart, and against finite volumes that share no code."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from costing.chilling import ICE_BATH, Cylinder, Food, Run, Slab, Stage, Vessel, core_times, food_of, ice_kg
from costing.chilling.baths import stirred_film
from costing.chilling.profiles import COLD_C, HOT_C, LUKEWARM_C
from tests.published.chilling import VALUES
from tests.published.volumes import Course, Volumes, bowl, column, drum, followed, half_ball, hottest_falls

STIRRING: dict[str, Any] = json.loads((Path(__file__).parent / "chilling_stirring.json").read_text())
ROWS: list[dict[str, Any]] = STIRRING["rows"]
LIMITS = (HOT_C, LUKEWARM_C, COLD_C)
THICK = Food(0.53, 1040, 0.53 / 1.368e-7 / 1040)
"""Its diffusivity follows from the film that the rows give for ten minutes, 66.0 W/m2 K."""
CUSTARD = food_of(VALUES["mixtures"]["compositions"]["baked_custard"])


def ids(row: dict[str, Any]) -> str:
    return f"{row['outside']} W/m2K, every {row['every_min']} min"


def lumped(outside: float, every_min: float) -> list[float]:
    stage = Stage(3000, 0.0, 0.0, outside, 0.0, stirred_every_min=every_min)
    return [time or 0 for time in core_times(Run(Cylinder(280, 200), THICK, HOT_C, [stage]), LIMITS[1:])]


@pytest.mark.parametrize("row", ROWS, ids=ids)
def test_a_stirred_filling_is_one_lump_behind_a_film(row: dict[str, Any]) -> None:
    assert stirred_film(THICK, row["every_min"]) == pytest.approx(row["h_in"], rel=0.002)
    assert lumped(row["outside"], row["every_min"]) == pytest.approx(row["lumped"], rel=0.003)


@pytest.mark.parametrize("row", ROWS, ids=ids)
def test_a_lump_takes_longer_than_the_simulation_of_stirring(row: dict[str, Any]) -> None:
    ours = lumped(row["outside"], row["every_min"])
    assert all(1.04 < our / simulated < 1.13 for our, simulated in zip(ours, row["simulated"], strict=True))


def stirred_falls(volumes: Volumes, every_min: float, start_c: float, limits: tuple[float, ...]) -> list[float]:
    """Mix all cells to their mean every few minutes, and find when the mean falls through the limits [min]."""
    course, mean, now, found = followed(volumes, np.full(volumes.heat.size, 1.0), 0.0, every_min), start_c, 0.0, []
    left = float((course(every_min) * volumes.heat).sum() / volumes.heat.sum())
    for limit in limits:
        while mean * left > limit:
            mean, now = mean * left, now + every_min
        found.append(now + _within(course, volumes, mean, limit, every_min))
    return found


def _within(course: Course, volumes: Volumes, mean: float, limit: float, every_min: float) -> float:
    times = np.linspace(0.0, every_min, 200)
    means = [mean * float((course(time) * volumes.heat).sum() / volumes.heat.sum()) for time in times]
    return float(np.interp(limit, means[::-1], times[::-1]))


@pytest.mark.parametrize("row", [ROWS[at] for at in (1, 7, 14)], ids=ids)
def test_a_simulation_of_our_own_stirs_as_the_one_computed_apart(row: dict[str, Any]) -> None:
    wide = [(0.2, THICK.k, THICK.rho * THICK.cp, 1)]
    volumes = drum(0.14, wide, (0.0, row["outside"], 0.0), rings=300)
    hot, *found = stirred_falls(volumes, row["every_min"], 70.0, LIMITS)
    assert [time - hot for time in found] == pytest.approx(row["simulated"], rel=0.02)


def test_never_stirred_it_takes_as_long_as_computed_apart() -> None:
    """From 70 °C, counted from 57 °C."""
    for outside, expected in STIRRING["never_stirred"].items():
        stage = Stage(3000, 0.0, 0.0, float(outside), 0.0)
        hot, *found = (time or 0 for time in core_times(Run(Cylinder(280, 200), THICK, 70.0, [stage]), LIMITS))
        assert [time - hot for time in found] == pytest.approx(expected, rel=0.003)


BATHS = [
    pytest.param(Vessel("pot", 200, diameter_mm=200), 80, id="a metal pot"),
    pytest.param(Vessel("bucket", 300, diameter_mm=195), 250, id="a plastic bucket"),
]


@pytest.mark.parametrize(("vessel", "mm"), BATHS)
def test_an_ice_bath_is_that_of_finite_volumes(vessel: Vessel, mm: float) -> None:
    """Water around side and base through the wall, nothing through the top: a round body in two directions."""
    stage = vessel.surroundings().stage(ICE_BATH, 6000, 0.5)
    assert (stage.h_top, stage.bath) == (0.0, True)
    layers = [(mm / 1000, CUSTARD.k, CUSTARD.rho * CUSTARD.cp, 50)]
    volumes = drum(vessel.diameter_mm / 2000, layers, (stage.h_bottom, stage.h_side, 0.0), rings=40)
    theirs = hottest_falls(followed(volumes, np.full(volumes.heat.size, 85.0), 0.5, 6000), LIMITS, 5900)
    assert core_times(Run(vessel.body(mm), CUSTARD, 85.0, [stage]), LIMITS) == pytest.approx(theirs, rel=0.004)


def test_a_bath_and_then_the_refrigerator_are_those_of_finite_volumes() -> None:
    vessel = Vessel("hotel pan", 65, length_mm=505, width_mm=300)
    around = vessel.surroundings()
    bath, after = around.stage(ICE_BATH, 45, 0.5), around.stage("still", 3000, 3.0)
    layers = [(0.03, CUSTARD.k, CUSTARD.rho * CUSTARD.cp, 120)]
    first = followed(column(layers, bath.h_bottom, 0.0), np.full(120, 70.0), 0.5, 45)
    second = followed(column(layers, after.h_bottom, after.h_top), first(45), 3.0, 3000)
    theirs = [minutes + 45 for minutes in hottest_falls(second, LIMITS[1:], 2900)]
    found = core_times(Run(Slab(30), CUSTARD, 70.0, [bath, after]), LIMITS[1:])
    assert found == pytest.approx(theirs, rel=0.003)


BOWLS = [(120.0, 120.0), (162.5, 50.0), (150.0, 100.0)]
"""Radius of the sphere and height of the filling [mm]: a half-sphere, a shallow bowl, one between."""
AROUND = [(8.0, 8.0, 3.0), (20.0, 20.0, 3.0), (200.0, 0.0, 0.5)]
"""Films of the round and at the top, and the air or the water: still, a fan, an ice bath."""


@pytest.mark.parametrize(("curve", "deep"), BOWLS)
@pytest.mark.parametrize(("h_round", "h_top", "air_c"), AROUND)
def test_the_cylinder_around_a_bowl_takes_11_to_38_per_cent_longer(
    curve: float, deep: float, h_round: float, h_top: float, air_c: float
) -> None:
    heat = CUSTARD.rho * CUSTARD.cp
    volumes = bowl(curve / 1000, deep / 1000, CUSTARD.k, heat, h_round, h_top)
    theirs = hottest_falls(followed(volumes, np.full(volumes.heat.size, 80.0), air_c, 6000), LIMITS, 5900)
    rim = 2 * (deep * (2 * curve - deep)) ** 0.5
    body = Vessel("bowl", deep, diameter_mm=rim).body(deep)
    stage = Stage(6000, air_c, h_top, h_round, h_round)
    ours = core_times(Run(body, CUSTARD, 80.0, [stage]), LIMITS)
    assert all(1.11 < (our or 0) / their < 1.385 for our, their in zip(ours, theirs, strict=True))


def test_the_columns_of_a_bowl_agree_with_spherical_coordinates() -> None:
    heat = CUSTARD.rho * CUSTARD.cp
    found = [
        hottest_falls(followed(volumes, np.full(volumes.heat.size, 80.0), 3.0, 3000), LIMITS, 2900)
        for volumes in (bowl(0.12, 0.12, CUSTARD.k, heat, 8, 8), half_ball(0.12, CUSTARD.k, heat, 8, 8))
    ]
    assert found[0] == pytest.approx(found[1], rel=0.025)


def test_a_kilogram_from_60_to_5_takes_0_6_kg_of_ice() -> None:
    """0.6 kg of ice for a kilogram of food from 60 to 5 °C, computed apart from this project."""
    assert ice_kg(1.0, CUSTARD, 60, 5) == pytest.approx(0.6, abs=0.02)
    assert ice_kg(1.0, CUSTARD, 60, 5, water_kg=2, water_c=15) == pytest.approx(0.6 + 2 * 4.18 * 15 / 334, abs=0.02)
