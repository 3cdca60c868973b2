"""The range of an estimate: the same case computed at nine points.

Film coefficients, conductivity and the air's temperature are known only roughly. The likely point takes them as given;
six more change one of them to its slow or fast end; two change all of them to the same end. Those two are the range
that a kitchen is shown; a plan uses the slow end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from costing.chilling import places
from costing.chilling.bodies import Body, Stage
from costing.chilling.chill import (
    COLD_START_C,
    FREEZES_C,
    WARM_UPS,
    WARMED,
    core_times_of,
    follow_units,
    minutes_of,
    warm_pass,
    warm_unit,
)
from costing.chilling.composition import Food
from costing.chilling.conduction import Case, Timeline
from costing.chilling.film_coefficients import FAST_FILM
from costing.chilling.layers import Layer
from costing.chilling.profiles import COLD_C


@dataclass(frozen=True, slots=True)
class Point:
    """The factors of one point of the range.

    Parameters
    ----------
    name : str
        Its name.
    h : float
        Factor of film coefficients [1].
    k : float
        Factor of conductivity [1].
    air_c : float
        How much warmer the air is in cooling, or colder in warming [°C].
    """

    name: str
    h: float = 1.0
    k: float = 1.0
    air_c: float = 0.0


LIKELY, SLOW, FAST = Point("likely"), Point("slow", 0.7, 0.82, 1.0), Point("fast", FAST_FILM, 1.05, -1.0)
"""As given, and the two ends."""

POINTS: tuple[Point, ...] = (
    LIKELY,
    SLOW,
    FAST,
    Point("film slow", h=0.7),
    Point("film fast", h=FAST_FILM),
    Point("conductivity slow", k=0.82),
    Point("conductivity fast", k=1.05),
    Point("air slow", air_c=1.0),
    Point("air fast", air_c=-1.0),
)
"""Film coefficients within 30 %: textbook natural convection against measured refrigerators. Conductivity 18 % down to
5 % up: the parallel rule against Sweat and Parmelee's regression for dairy foods (Tavman 1999) and Marschoun 2001. The
air within 1 °C: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Range:
    """A time with its range.

    Parameters
    ----------
    fast : float or None
        At the fast end [min]; None when it is not reached.
    likely : float or None
        As given [min].
    slow : float or None
        At the slow end [min]; None when it is not reached in the stages.
    points : tuple of float or None
        At each of `POINTS` [min].
    """

    fast: float | None
    likely: float | None
    slow: float | None
    points: tuple[float | None, ...]


def at_point(case: Case, point: Point) -> Case:
    """Change a cooling case to a point of the range.

    Air is not changed to below the model's lower limit, so the fast end gains nothing from freezing air; ice water
    not to below 0 °C.

    Parameters
    ----------
    case : Case
        What cools.
    point : Point
        The point.

    Returns
    -------
    Case
        The same body with that point's films, conductivity and air.
    """
    stages = tuple(_stage_at(stage, point) for stage in case.stages)
    top = None if case.top is None else replace(case.top, food=_food_at(case.top.food, point))
    return replace(case, food=_food_at(case.food, point), stages=stages, top=top)


def _food_at(food: Food, point: Point) -> Food:
    return replace(food, k=food.k * point.k)


def _stage_at(stage: Stage, point: Point) -> Stage:
    coldest = min(stage.ambient_c, 0.0 if stage.bath else FREEZES_C)
    return replace(
        stage,
        ambient_c=max(stage.ambient_c + point.air_c, coldest),
        h_top=_top_at(stage, point),
        h_side=stage.h_side * point.h,
        h_bottom=stage.h_bottom * point.h,
    )


def _top_at(stage: Stage, point: Point) -> float:
    if stage.tops is None or point.h == 1:
        return stage.h_top * point.h
    slow, fast = stage.tops
    return slow if point.h < 1 else fast


def _warm_at(unit: Case, point: Point) -> Case:
    """Change a warming unit to a point of the range; its air stays at 0."""
    return at_point(unit, replace(point, air_c=0.0))


def range_of(points: Sequence[float | None]) -> Range:
    """Build a range from the times at its points.

    Parameters
    ----------
    points : sequence of float or None
        At each of `POINTS` [min].

    Returns
    -------
    Range
        With its ends.
    """
    return Range(points[POINTS.index(FAST)], points[POINTS.index(LIKELY)], points[POINTS.index(SLOW)], tuple(points))


def times_to(cases: Sequence[Case], limits: Sequence[float]) -> list[list[float | None]]:
    """Find when the cores of cases reach temperatures while cooling.

    Parameters
    ----------
    cases : sequence of Case
        What cools.
    limits : sequence of float
        Temperatures [°C].

    Returns
    -------
    list of list of float or None
        For each case a time for each limit [min]: 0 when the core is that cold at the start and at the end, None when
        the temperature is never reached.
    """
    # Only bodies with the same number of directions, and layers that meet at the same share, can be solved together.
    kinds = [(len(case.body.sideways), case.between) for case in cases]
    found: dict[int, list[float | None]] = {}
    for kind in set(kinds):
        alike = [at for at, one in enumerate(kinds) if one == kind]
        found.update(zip(alike, core_times_of([cases[at] for at in alike], limits), strict=True))
    return [_or_cold(case, limits, found[at]) for at, case in enumerate(cases)]


def _or_cold(case: Case, limits: Sequence[float], times: Sequence[float | None]) -> list[float | None]:
    pairs = list(zip(limits, times, strict=True))
    if not any(time is None and case.hottest_c <= limit for limit, time in pairs):
        return list(times)
    run = case.run()
    ends_c = float(places.core(run, run.ends[-1:])[0, 0])
    return [0.0 if time is None and max(case.hottest_c, ends_c) <= limit else time for limit, time in pairs]


def cooling_range(case: Case, limits: Sequence[float]) -> list[Range]:
    """Find when the core falls through temperatures, with the range.

    Parameters
    ----------
    case : Case
        What cools.
    limits : sequence of float
        Temperatures [°C].

    Returns
    -------
    list of Range
        One for each temperature, counted from minute 0; 0 when the core is that cold at the start and at the end.
    """
    times = times_to([at_point(case, point) for point in POINTS], limits)
    return [range_of(column) for column in zip(*times, strict=True)]


def warming_range(case: Case, start_c: float = COLD_START_C) -> dict[str, list[Range]]:
    """Find how long cold food stays cold, with the range; it stays cold longest at the slow end.

    The point that is fast while cooling, with strong films and good conduction, is fast while warming too, and its air
    is a degree warmer instead of colder. A plan uses the fast end.

    Parameters
    ----------
    case : Case
        The body and its food.
    start_c : float, optional
        Temperature all through at minute 0 [°C].

    Returns
    -------
    dict of str to list of Range
        For each of `WARM_UPS` rim, ten millimetres in, mean, centre and coldest point of the axis.
    """
    stages = list(WARM_UPS.values())
    found = warm_times(
        case.body, case.food, stages[0], [stage.ambient_c for stage in stages], [COLD_C], start_c, top=case.top
    )
    return {name: [range_of(points) for points in found[at][0]] for at, name in enumerate(WARM_UPS)}


def warm_times(
    body: Body,
    food: Food,
    stage: Stage,
    airs_c: Sequence[float],
    limits: Sequence[float],
    start_c: float,
    points: Sequence[Point] = POINTS,
    top: Layer | None = None,
) -> list[list[list[list[float | None]]]]:
    """Find how long places stay at or below temperatures in warm air, at points of the range.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    stage : Stage
        A warm stage; its air temperature is ignored.
    airs_c : sequence of float
        Temperatures of the air [°C].
    limits : sequence of float
        Temperatures [°C].
    start_c : float
        Temperature all through at minute 0 [°C].
    points : sequence of Point, optional
        Points of the range; all when left out.
    top : Layer or None, optional
        A layer that lies on it; its temperature is ignored.

    Returns
    -------
    list of list of list of list of float or None
        For each air, each limit and each place of `WARMED` the time at each point [min]: about 0 for a limit at or
        below the start, None when it is not passed.
    """
    # Points that differ only in air temperature share one unit case.
    units = {(point.h, point.k): point for point in points}
    timeline = Timeline([_warm_at(warm_unit(body, food, stage, top), one) for one in units.values()])
    spans = {unit: timeline.span_of(at) for at, unit in enumerate(units)}
    wanted = [
        warm_pass(row, max(limit, start_c), air - point.air_c, start_c, spans[point.h, point.k])
        for air in airs_c
        for limit in limits
        for row in WARMED
        for point in points
    ]
    passed = minutes_of(follow_units(timeline).passes(wanted))
    times = iter([None if time is None else time - one.since for time, one in zip(passed, wanted, strict=True)])
    return [[[[next(times) for _ in points] for _ in WARMED] for _ in limits] for _ in airs_c]
