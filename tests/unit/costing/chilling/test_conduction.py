"""What heat conduction has to obey, whatever the numbers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.chilling import Block, Cylinder, Food, Run, Slab, Stage, film_through, food_of
from costing.chilling.bodies import Body, directions_of
from costing.chilling.conduction import Case, Probes, Timeline
from costing.chilling.lobatto import NODES, WEIGHTS, Floats, lobatto, row_at
from costing.chilling.places import CENTRE, CORE, DEEP, HEIGHT, MEAN, RIM, probes_of, temperatures, warmest

CAKE = food_of({"water": 50, "fat": 25, "protein": 6, "carb": 18, "ash": 1})
START, END = row_at(0.0), row_at(1.0)

mm = st.floats(10, 300)
films = st.floats(0.5, 60)
foods = st.builds(Food, st.floats(0.1, 0.7), st.floats(400, 1300), st.floats(1500, 4200))
bodies = st.one_of(st.builds(Cylinder, mm, mm), st.builds(Slab, mm), st.builds(Block, mm, mm, mm))
airs = st.floats(-5, 40)
stages = st.builds(Stage, st.floats(10, 600), airs, films, films, films)
starts = st.floats(2, 90)
examples = settings(max_examples=25, deadline=None)


def at(run: Run, *minutes: float) -> Floats:
    return temperatures(run, np.array(minutes))


def faces(body: Body, stage: Stage) -> list[tuple[float, float, Probes]]:
    """Return each face's share of area in volume [1/m], its film, and the probe of its mean temperature."""
    ways = body.sideways
    mean = tuple(WEIGHTS[None, :] for _ in ways)
    up = 1000 / body.height_mm
    found = [
        (up, stage.h_bottom, Probes(mean, (START[None, :],))),
        (up, stage.h_top, Probes(mean, (END[None, :],))),
    ]
    for which, way in enumerate(ways):
        across = (2 if way.kind == "radial" else 1) * 1000 / way.mm
        rows = tuple(END[None, :] if at == which else WEIGHTS[None, :] for at in range(len(ways)))
        found.append((across, stage.h_side, Probes(rows, (WEIGHTS[None, :],))))
    return found


@examples
@given(bodies, foods, starts, stages, stages, st.floats(0.05, 0.95))
def test_what_the_body_loses_is_what_passes_its_faces(
    body: Body, food: Food, start: float, first: Stage, second: Stage, share: float
) -> None:
    run = Run(body, food, start, [first, second])
    minute = first.minutes + share * second.minutes
    step = 1e-3 * second.minutes * min(share, 1 - share)
    before, after = at(run, minute - step, minute + step)[MEAN]
    loses = food.rho * food.cp * (before - after) / (2 * step * 60)
    passes = sum(
        area * h * (float(run.read(probe, np.array([minute]))[0, 0]) - second.ambient_c)
        for area, h, probe in faces(body, second)
    )
    spread = sum(area * h for area, h, _ in faces(body, second)) * (abs(start) + 50)
    assert loses == pytest.approx(passes, rel=1e-3, abs=2e-5 * spread)


@examples
@given(bodies, foods, starts, stages, st.floats(0.1, 0.9))
def test_one_stage_equals_its_two_parts(body: Body, food: Food, start: float, stage: Stage, share: float) -> None:
    whole = Run(body, food, start, [stage])
    first, rest = replace(stage, minutes=stage.minutes * share), replace(stage, minutes=stage.minutes * (1 - share))
    parts = Run(body, food, start, [first, rest])
    times = np.linspace(0.01, 0.999, 9) * stage.minutes
    line = probes_of(body)
    assert np.abs(whole.read(line, times) - parts.read(line, times)).max() < 1e-9 * (100 + abs(start))


@examples
@given(bodies, foods, starts, stages)
def test_a_mirrored_body_is_a_mirror_of_the_temperatures(body: Body, food: Food, start: float, stage: Stage) -> None:
    turned = replace(stage, h_top=stage.h_bottom, h_bottom=stage.h_top)
    times = np.array([0.2, 0.5, 1.0]) * stage.minutes
    line, mirrored = (Run(body, food, start, [one]).read(probes_of(body), times)[3:] for one in (stage, turned))
    assert np.abs(line - mirrored[::-1]).max() < 1e-8


@examples
@given(bodies, foods, st.floats(50, 90), stages, st.floats(1.05, 3), st.floats(0.2, 1))
def test_stronger_films_cool_faster_everywhere(
    body: Body, food: Food, start: float, stage: Stage, more: float, share: float
) -> None:
    stronger = Stage(stage.minutes, stage.ambient_c, stage.h_top * more, stage.h_side * more, stage.h_bottom * more)
    weak, strong = (at(Run(body, food, start, [one]), share * stage.minutes) for one in (stage, stronger))
    for row in (CENTRE, CORE, MEAN, DEEP, RIM):
        assert strong[row, 0] <= weak[row, 0] + 0.02  # of up to a hundred degrees


@examples
@given(bodies, foods, st.floats(50, 90), stages, st.floats(1.05, 3), st.floats(0.2, 1))
def test_better_conduction_cools_the_whole_faster(
    body: Body, food: Food, start: float, stage: Stage, more: float, share: float
) -> None:
    better = replace(food, k=food.k * more)
    poor, good = (at(Run(body, one, start, [stage]), share * stage.minutes) for one in (food, better))
    assert good[MEAN, 0] <= poor[MEAN, 0] + 1e-4


@examples
@given(bodies, foods, starts, stages)
def test_temperatures_stay_between_start_and_air(body: Body, food: Food, start: float, stage: Stage) -> None:
    low, high = sorted((start, stage.ambient_c))
    times = np.concatenate([[0.0], np.geomspace(0.02, 1.0, 12) * stage.minutes])
    found = Run(body, food, start, [stage]).read(probes_of(body), times)
    assert found.min() >= low
    assert found.max() <= high
    core = temperatures(Run(body, food, start, [stage]), times)[CORE]
    assert low <= core.min() <= core.max() <= high


@examples
@given(bodies, starts, airs, st.floats(0.5, 20))
def test_a_well_conducting_body_cools_as_a_lump(body: Body, start: float, air: float, h: float) -> None:
    """Bi towards 0: the mean is the air's plus the rest times exp(-h A t / rho cp V)."""
    food, stage = Food(1e5, 1000.0, 3000.0), Stage(120, air, h, h, h)
    surface = sum(area for area, _, _ in faces(body, stage))
    lump = air + (start - air) * math.exp(-h * surface * 7200 / (food.rho * food.cp))
    found = at(Run(body, food, start, [stage]), 120.0)
    assert found[[CENTRE, CORE, MEAN, RIM], 0] == pytest.approx(lump, abs=0.02)


def test_a_slab_whose_faces_have_the_airs_temperature_follows_the_series() -> None:
    """Bi towards infinity: Carslaw and Jaeger, section 3.4, both faces at one temperature."""
    run = Run(Slab(50), CAKE, 70.0, [Stage(120, 0, 1e9, 0, 1e9)])
    for minutes in (10.0, 30.0, 90.0):
        fourier = CAKE.alpha * minutes * 60 / 0.05**2
        odd = range(1, 60, 2)
        series = sum((-1) ** (n // 2) / n * math.exp(-((n * math.pi) ** 2) * fourier) for n in odd)
        assert at(run, minutes)[CENTRE, 0] == pytest.approx(70 * 4 / math.pi * series, abs=1e-5)
    assert at(run, 10.0)[RIM, 0] == pytest.approx(0, abs=1e-5)


def test_a_cylinder_whose_side_has_the_airs_temperature_follows_the_series() -> None:
    """Carslaw and Jaeger, section 7.6; the roots of J0 from Abramowitz and Stegun, table 9.5."""
    roots, slopes = (2.4048255577, 5.5200781103, 8.6537279129), (0.5191474973, -0.3402648065, 0.2714522999)
    run = Run(Cylinder(100, 50), CAKE, 70.0, [Stage(200, 0, 0, 1e9, 0)])
    fourier = CAKE.alpha * 90 * 60 / 0.05**2
    series = sum(2 / (root * j1) * math.exp(-root * root * fourier) for root, j1 in zip(roots, slopes, strict=True))
    assert at(run, 90.0)[CENTRE, 0] == pytest.approx(70 * series, abs=1e-5)


@examples
@given(mm, mm, mm, foods, starts, stages)
def test_a_body_without_sides_is_a_slab(
    length: float, width: float, height: float, food: Food, start: float, stage: Stage
) -> None:
    closed = replace(stage, h_side=0.0)
    times = (0.1 * stage.minutes, stage.minutes)
    slab = at(Run(Slab(height), food, start, [closed]), *times)
    for body in (Cylinder(length, height), Block(length, width, height)):
        rows = [CENTRE, CORE, MEAN]
        assert np.abs(at(Run(body, food, start, [closed]), *times)[rows] - slab[rows]).max() < 1e-6


def test_a_block_is_the_product_of_three_slabs() -> None:
    stage = Stage(240, 0.0, 10, 7, 5)
    block = at(Run(Block(120, 80, 50), CAKE, 1.0, [stage]), 60.0, 240.0)[CENTRE]
    product = np.ones(2)
    for thick, ends in ((120, (7, 7)), (80, (7, 7)), (50, (5, 10))):
        product *= at(Run(Slab(thick), CAKE, 1.0, [replace(stage, h_bottom=ends[0], h_top=ends[1])]), 60.0, 240.0)[0]
    assert block == pytest.approx(product, rel=1e-9)


def test_a_square_block_cools_between_the_cylinder_inside_it_and_the_one_around_it() -> None:
    stage = Stage(300, 3, 8, 8, 5)
    inside, block, around = (
        at(Run(body, CAKE, 68.0, [stage]), 300.0)[CENTRE, 0]
        for body in (Cylinder(200, 70), Block(200, 200, 70), Cylinder(200 * math.sqrt(2), 70))
    )
    assert inside < block < around


def test_an_insulated_body_keeps_its_temperature() -> None:
    run = Run(Cylinder(200, 60), CAKE, 68.0, [Stage(20000, 3, 0, 0, 0)])
    assert np.abs(at(run, 0.0, 20000.0)[[CENTRE, CORE, MEAN, RIM]] - 68.0).max() < 1e-7


@examples
@given(bodies, foods, starts, stages, stages)
def test_temperatures_do_not_jump_when_the_air_does(
    body: Body, food: Food, start: float, first: Stage, second: Stage
) -> None:
    run = Run(body, food, start, [first, second])
    end = float(run.ends[0])
    rows = run.read(probes_of(body), np.array([end, np.nextafter(end, np.inf)]))
    before, after = at(run, end, float(np.nextafter(end, np.inf)))[MEAN]
    assert before == pytest.approx(after, abs=1e-9)
    # What rings beyond the first stage's bounds is cut off there, and may show in the second, whose bounds are wider.
    span = max(start, first.ambient_c, second.ambient_c) - min(start, first.ambient_c, second.ambient_c)
    assert np.abs(rows[:, 0] - rows[:, 1]).max() <= 0.005 * span + 1e-9


def test_the_core_of_a_body_on_an_insulated_base_is_its_base() -> None:
    found = at(Run(Cylinder(250, 75), CAKE, 68.0, [Stage(600, 3, 8, 8, 0)]), 300.0)
    assert found[HEIGHT, 0] == 0.0
    assert found[CORE, 0] > found[CENTRE, 0] + 4


def test_the_warmest_point_of_a_parabola_is_its_vertex() -> None:
    shares = np.linspace(0, 1, 17)
    value, height = warmest((10 - (shares - 0.417) ** 2)[:, None])
    assert (value[0], height[0]) == pytest.approx((10.0, 0.417))


def test_what_is_thinner_than_twenty_millimetres_is_read_in_its_middle() -> None:
    found = at(Run(Slab(12), CAKE, 60.0, [Stage(60, 3, 8, 0, 8)]), 30.0)
    assert found[DEEP, 0] == pytest.approx(found[CENTRE, 0])


def test_a_case_needs_a_stage_and_times_within_it() -> None:
    with pytest.raises(ValueError, match="one stage or more"):
        Run(Slab(20), CAKE, 60.0, [])
    run = Run(Slab(20), CAKE, 60.0, [Stage(60, 3, 8, 0, 8)])
    for minute in (-1.0, 60.1, math.nan):
        with pytest.raises(ValueError, match="from 0 to 60"):
            at(run, minute)


def test_nodes_and_weights_are_those_of_gauss_and_lobatto() -> None:
    """Abramowitz and Stegun, table 25.6, five nodes on -1..1: 0, 0.65465367, 1; weights 0.71111111, 0.54444444, 0.1."""
    nodes, weights = lobatto(5)
    assert 2 * nodes - 1 == pytest.approx([-1, -0.65465367, 0, 0.65465367, 1], abs=1e-8)
    assert 2 * weights == pytest.approx([0.1, 0.54444444, 0.71111111, 0.54444444, 0.1], abs=1e-8)
    assert WEIGHTS.size == NODES
    assert NODES % 2 == 1


def test_a_layer_between_food_and_air_weakens_the_film() -> None:
    assert film_through(8, 2, 0.2) == pytest.approx(1 / (1 / 8 + 0.01))
    assert film_through(8, 0, 0.2) == pytest.approx(8)


def test_the_height_is_the_last_direction() -> None:
    assert [way.kind for way in directions_of(Cylinder(10, 20))] == ["radial", "height"]
    assert [way.mm for way in directions_of(Block(10, 20, 30))] == [5, 10, 30]
    assert [way.kind for way in directions_of(Slab(10))] == ["height"]


cases = st.builds(Case, st.builds(Cylinder, mm, mm), foods, starts, st.lists(stages, min_size=1, max_size=4).map(tuple))


@examples
@given(st.lists(cases, min_size=1, max_size=4), st.floats(0.01, 1))
def test_cases_on_one_axis_of_time_are_each_as_by_itself(some: list[Case], share: float) -> None:
    """Whatever their foods, sizes and numbers of stages."""
    together = Timeline(some)
    for at, case in enumerate(some):
        begins, ends = together.span_of(at)
        alone = case.run()
        assert ends - begins == pytest.approx(alone.minutes)
        minutes = np.array([0.0, share, 1.0]) * (ends - begins)
        read = together.read(probes_of(case.body), np.minimum(begins + minutes, ends))
        assert np.abs(read - alone.read(probes_of(case.body), np.minimum(minutes, alone.minutes))).max() < 1e-6
        highest = max(case.initial_c, *(stage.ambient_c for stage in case.stages))
        assert together.highest(np.array([ends]))[0] == highest


def test_nothing_is_read_between_two_cases() -> None:
    stage = Stage(60, 3, 8, 8, 8)
    two = Timeline([Case(Slab(20), CAKE, 60.0, (stage,)), Case(Slab(30), CAKE, 60.0, (stage, stage))])
    assert [two.items_of(at) for at in (0, 1)] == [slice(0, 1), slice(2, 4)]
    assert two.span_of(1)[0] > 60
    with pytest.raises(ValueError, match="within the stages"):
        two.read(probes_of(Slab(20)), np.array([30.0, 60.5]))
