"""How long a dessert stays cold out of the cold, and how long it may be out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from costing.chilling import places
from costing.chilling.airs import away_stage
from costing.chilling.bodies import Body, Stage
from costing.chilling.chill import COLD_START_C, minutes_of
from costing.chilling.composition import Food
from costing.chilling.conduction import Run
from costing.chilling.crossings import Pass, Track, soon_grid
from costing.chilling.profiles import COLD_C, LUKEWARM_C, Profile, TimeOut
from costing.chilling.ranges import POINTS, Point, Range

OUT_MIN = 7 * 24 * 60.0
"""How long warming is followed [min]."""

_PLACES = (places.DEEP, places.MEAN, places.RIM)


@dataclass(frozen=True, slots=True)
class Warmed:
    """How long places stay at or below a temperature.

    Parameters
    ----------
    limit_c : float
        The temperature [°C].
    deep : Range
        Ten millimetres inside the top rim.
    mean : Range
        The mean of the whole body.
    rim : Range
        The top rim, the warmest place of all.
    """

    limit_c: float
    deep: Range
    mean: Range
    rim: Range


@dataclass(frozen=True, slots=True)
class Longest:
    """How long something may be out of the cold.

    Parameters
    ----------
    minutes : float
        How long [min].
    clause : TimeOut or None
        The rule's clause that says so; None when the rule states no time, and it is how long the place ten
        millimetres inside the rim stays cold at the fast end of the estimate.
    """

    minutes: float
    clause: TimeOut | None


def time_out(
    body: Body,
    food: Food,
    carried: str,
    air_c: float,
    start_c: float = COLD_START_C,
    limits: Sequence[float] = (COLD_C, LUKEWARM_C),
) -> list[Warmed]:
    """Find how long places stay at or below temperatures out of the cold, with the range.

    The fast end has stronger films, better conduction and warmer air. A plan goes by it.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    carried : str
        `bare`, `carton` or `insulated`.
    air_c : float
        Temperature of the air outside the box [°C].
    start_c : float, optional
        Temperature all through when it leaves the cold [°C].
    limits : sequence of float, optional
        Temperatures [°C].

    Returns
    -------
    list of Warmed
        One for each temperature.
    """
    found = {point: _times(body, food, carried, air_c, start_c, limits, point) for point in POINTS}
    return [
        Warmed(limit, *(_range([found[point][at][place] for point in POINTS]) for place in range(len(_PLACES))))
        for at, limit in enumerate(limits)
    ]


def _range(points: Sequence[float | None]) -> Range:
    fast, likely, slow = (points[[p.name for p in POINTS].index(name)] for name in ("fast", "likely", "slow"))
    return Range(fast, likely, slow, tuple(points))


def _times(
    body: Body, food: Food, carried: str, air_c: float, start_c: float, limits: Sequence[float], point: Point
) -> list[list[float | None]]:
    """Find when each place rises above each limit [min]."""
    air = air_c - point.air_c
    stage = away_stage(carried, OUT_MIN, air)
    films = (film * point.h for film in (stage.h_top, stage.h_side, stage.h_bottom))
    run = Run(body, replace(food, k=food.k * point.k), start_c, [Stage(OUT_MIN, air, *films)])
    track = Track(lambda times: places.temperatures(run, times), soon_grid(0.0, OUT_MIN))
    wanted = [Pass(row, limit, falling=False) for limit in limits for row in _PLACES]
    found = minutes_of(track.passes(wanted))
    above = [0.0 if start_c > limit else None for limit in limits for _ in _PLACES]
    times = [late if early is None else early for early, late in zip(above, found, strict=True)]
    return [times[at : at + len(_PLACES)] for at in range(0, len(times), len(_PLACES))]


def longest_out(rule: Profile, body: Body, food: Food, carried: str, air_c: float) -> Longest | None:
    """Find how long something from the cold may be out of it.

    Parameters
    ----------
    rule : Profile
        The food-safety profile in force.
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    carried : str
        `bare`, `carton` or `insulated`.
    air_c : float
        Temperature of the air outside the box [°C].

    Returns
    -------
    Longest or None
        How long, and by what; None without end, in air that is itself cold.
    """
    cold_c = COLD_C if rule.cold_c is None else rule.cold_c
    if air_c <= cold_c:
        return None
    fast = next(point for point in POINTS if point.name == "fast")
    limits = [cold_c, *(out.warmest_c for out in rule.times_out if out.warmest_c is not None)]
    times = _times(body, food, carried, air_c, COLD_START_C, limits, fast)
    rims = {limit: found[-1] for limit, found in zip(limits, times, strict=True)}
    allowed = [out for out in rule.times_out if _allowed(out, rims)]
    if allowed:
        clause = max(allowed, key=lambda out: out.minutes)
        return Longest(clause.minutes, clause)
    deep = times[0][0]
    return None if deep is None else Longest(deep, None)


def _allowed(out: TimeOut, rims: dict[float, float | None]) -> bool:
    if out.warmest_c is None:
        return True
    reached = rims[out.warmest_c]
    return reached is None or reached >= out.minutes
