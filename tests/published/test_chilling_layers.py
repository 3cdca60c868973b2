"""Two layers against values computed apart from this project, and against finite volumes that share no code with it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from costing.chilling import (
    PROFILES,
    Case,
    Cylinder,
    Food,
    Layer,
    LayerReport,
    Part,
    Plan,
    Run,
    Slab,
    Stage,
    core_times,
    layers,
    lengthened,
    mixed_start,
    report,
    trial,
)
from costing.chilling.layers import contact_c
from costing.chilling.lobatto import Probes, layered_row
from costing.chilling.profiles import COLD_C, COOKED, HOT_C, LUKEWARM_C
from tests.published.volumes import column, drum, followed, hottest_falls

DATA: dict[str, Any] = json.loads((Path(__file__).parent / "chilling_layers.json").read_text())
CASES: dict[str, dict[str, Any]] = DATA["cases"]
LIMITS = (HOT_C, LUKEWARM_C, COLD_C)
PLACES = ("bottom", "mid1", "interface", "mid2", "top")


def plan_of(given: dict[str, float], minutes: float = 3000) -> Plan:
    lower, upper = (Food(given[f"k{at}"], given[f"r{at}"], given[f"c{at}"]) for at in (1, 2))
    stage = Stage(minutes, given["Tair"], given["ht"], 0, given["hb"])
    body = Slab(1000 * (given["a"] + given["b"]))
    return Plan(body, lower, given["T1"], (stage,), PROFILES[COOKED], top=Layer(upper, given["b"] * 1000, given["T2"]))


def read(case: Case, minutes: list[float]) -> np.ndarray[Any, Any]:
    between = case.between
    assert between is not None
    rows = [layered_row(share, between) for share in (0.0, between / 2, between, (1 + between) / 2, 1.0)]
    return case.run().read(Probes((), (np.stack(rows),)), np.array(minutes))


@pytest.mark.parametrize("name", CASES)
def test_temperatures_of_two_layers_are_those_computed_apart(name: str) -> None:
    expected = CASES[name]["minutes"]
    got = read(plan_of(CASES[name]["input"]).case, [float(minute) for minute in expected])
    table = np.array([[row[place] for place in PLACES] for row in expected.values()]).T
    off = np.abs(got - table).max(axis=0)
    assert off[0] < 0.2  # within the first minute, at the node where the layers meet
    assert (off[1:] < 0.005).all()


@pytest.mark.parametrize("name", CASES)
def test_the_hottest_point_of_two_layers_falls_when_it_should(name: str) -> None:
    got = core_times(plan_of(CASES[name]["input"]).case.run(), LIMITS)
    assert got == pytest.approx(list(CASES[name]["hottest"].values()), rel=0.0005, abs=0.02)


def colder(found: tuple[LayerReport, ...]) -> LayerReport:
    return min(found, key=lambda one: one.initial_c)


@pytest.mark.parametrize("name", [name for name in CASES if name != "L4_degenerate"])
def test_the_cold_layer_warms_to_the_peak_computed_apart(name: str) -> None:
    cold = colder(report(plan_of(CASES[name]["input"])).layers)
    peak_c, minute = CASES[name]["middle_of_the_cold_layer_peaks_at"]
    assert cold.peak_c == pytest.approx(peak_c, abs=0.06)
    assert cold.peak_minute == pytest.approx(minute, abs=4)
    assert cold.warmest_c == pytest.approx(CASES[name]["contact_c"], abs=0.05)


def test_the_cold_layer_breaks_the_rule_that_the_hot_one_keeps() -> None:
    """A glaze is cold in time; the cake below it, at 4 °C before, stays warm for longer than the rule's six hours."""
    cake, glaze = Food(0.42, 1064, 3018), Food(0.41, 1117, 2859)
    stage = Stage(600, 3.0, 20.0, 0.0, 0.0)
    plan = Plan(Slab(53), cake, 4.0, (stage,), PROFILES[COOKED], top=Layer(glaze, 8, 65.0))
    found = report(plan)
    lower, upper = found.layers
    assert [leg.likely.met for leg in upper.legs] == [True, True]
    assert not lower.legs[-1].likely.met
    assert found.verdict == trial(plan).verdict == "not kept"


def test_equal_layers_are_one_body() -> None:
    given = CASES["L4_degenerate"]["input"]
    plan = plan_of(given)
    whole = replace(plan, top=None)
    assert core_times(plan.case.run(), LIMITS) == pytest.approx(core_times(whole.case.run(), LIMITS), rel=1e-4)


@pytest.mark.parametrize("name", CASES)
def test_where_layers_meet_is_the_closed_form(name: str) -> None:
    given = CASES[name]["input"]
    plan = plan_of(given)
    assert plan.top is not None
    assert contact_c(given["T1"], plan.food, given["T2"], plan.top.food) == pytest.approx(
        CASES[name]["contact_c"], abs=1e-4
    )


SPONGE, CREAM = Food(0.12, 300, 2800), Food(0.50, 1080, 3500)
CUSTARD, MOUSSE = Food(0.538, 1063, 3577), Food(0.219, 653, 2880)


def cells_of(case: Case, cells: int) -> list[tuple[float, float, float, int]]:
    top = case.top
    assert top is not None
    foods = ((case.lower_mm, case.food), (top.height_mm, top.food))
    return [(mm / 1000, food.k, food.rho * food.cp, cells) for mm, food in foods]


def test_stages_of_other_air_and_films_are_followed_through_both_layers() -> None:
    """Half an hour in the room, then a fan: finite volumes, 100 cells a layer, BDF."""
    stages = (Stage(30, 21, 10, 0, 5), Stage(2000, 2, 20, 0, 10))
    case = Case(Slab(70), SPONGE, 18.0, stages, Layer(CREAM, 45, 72.0))
    start = np.concatenate([np.full(100, 18.0), np.full(100, 72.0)])
    first = followed(column(cells_of(case, 100), 5, 10), start, 21, 30)
    second = followed(column(cells_of(case, 100), 10, 20), first(30), 2, 2000)
    ours = core_times(Run(case.body, case.food, case.initial_c, case.stages, case.top), LIMITS)
    theirs = [minutes + 30 for minutes in hottest_falls(second, LIMITS, 1900)]
    assert ours == pytest.approx(theirs, rel=0.002)


ROUND = [
    pytest.param(Cylinder(240, 65), (SPONGE, 20), (CREAM, 20, 70), (8.0, 8.0, 5.0), 1.05, id="cream on a wide sponge"),
    pytest.param(Cylinder(100, 65), (SPONGE, 20), (CREAM, 25, 70), (20.0, 20.0, 10.0), 1.09, id="cream in a ring"),
    pytest.param(Cylinder(60, 80), (CUSTARD, 60), (MOUSSE, 40, 15), (8.0, 8.0, 5.0), 1.27, id="mousse on hot custard"),
]
"""Body, what is below and how warm, what is on it, how thick and how warm, films, and the most it may be long."""


@pytest.mark.parametrize(("body", "below", "above", "hs", "most"), ROUND)
def test_in_a_round_body_two_layers_are_never_computed_too_cold(
    body: Cylinder, below: tuple[Food, float], above: tuple[Food, float, float], hs: tuple[float, ...], most: float
) -> None:
    """In the finite volumes each layer passes its own heat to the side; in the model both that of the slower food."""
    (lower, lower_c), (upper, thick, upper_c), (top, side, base) = below, above, hs
    case = Case(body, lower, lower_c, (Stage(4000, 3.0, *hs),), Layer(upper, thick, upper_c))
    volumes = drum(body.diameter_mm / 2000, cells_of(case, 20), (base, side, top))
    start = np.tile(np.concatenate([np.full(20, float(lower_c)), np.full(20, float(upper_c))]), 24)
    theirs = hottest_falls(followed(volumes, start, 3.0, 4000), LIMITS, 3900)
    ours = core_times(case.run(), LIMITS)
    assert all(theirs[at] * 0.995 <= (ours[at] or 0) <= theirs[at] * most for at in range(3))


def test_layers_forgotten_show(monkeypatch: pytest.MonkeyPatch) -> None:
    """With both layers starting at one temperature the values computed apart are missed by far."""
    even = layers.starting

    def alike(lower_c: float, lower: Food, lower_mm: float, top: Layer) -> Any:
        return even(top.initial_c, lower, lower_mm, top)

    monkeypatch.setattr("costing.chilling.conduction.starting", alike)
    got = core_times(plan_of(CASES["L2_curd_on_cold_cake"]["input"]).case.run(), LIMITS)
    assert (got[1] or 0) > 1.5 * CASES["L2_curd_on_cold_cake"]["hottest"]["21.11"]


MIXED = {"L1_cream_on_sponge": (1.06, 1.05), "L2_curd_on_cold_cake": (2.34, 1.16), "L3_mousse_on_custard": (1.76, 1.59)}


@pytest.mark.parametrize("name", MIXED)
def test_taken_as_one_mixed_body_times_are_5_to_134_per_cent_long(name: str) -> None:
    """Conductivity in series, heat capacity by volume, and the temperature of the mixture from minute 0."""
    given = CASES[name]["input"]
    plan = plan_of(given)
    top, deep = plan.top, given["a"] + given["b"]
    assert top is not None
    masses = given["a"] * given["r1"], given["b"] * given["r2"]
    start = mixed_start([Part(masses[0], plan.food, given["T1"]), Part(masses[1], top.food, given["T2"])])
    heat = (masses[0] * given["c1"] + masses[1] * given["c2"]) / deep
    mixture = Food(deep / (given["a"] / given["k1"] + given["b"] / given["k2"]), heat / 3000, 3000)
    mixed = replace(plan, food=mixture, initial_c=start, top=None)
    one, two = (core_times(lengthened(each).run(), [LUKEWARM_C, COLD_C]) for each in (mixed, plan))
    assert [(a or 0) / (b or 1) for a, b in zip(one, two, strict=True)] == pytest.approx(MIXED[name], abs=0.01)
