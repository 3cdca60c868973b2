"""A planned cooling cycle, whose last cold stage lasts until the food is cold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate
from math import inf
from typing import Literal

from costing.chilling.bodies import Block, Body, Cylinder, Stage
from costing.chilling.chill import FREEZES_C, Freezing, core_times, freezing
from costing.chilling.composition import Food
from costing.chilling.conduction import Case
from costing.chilling.film_coefficients import UNCOVERED, Surroundings
from costing.chilling.layers import Layer
from costing.chilling.profiles import COLD_C, Leg, Profile
from costing.chilling.vessels import Fill

BULK_MM = 120.0
"""How thick a body in a vessel may be, in its thinnest direction, for the range to hold [mm].

Measured (see `Doubt`): a pan of rice 100 mm deep lies within the range; pots and buckets from 195 mm on took from 0.4
to 2 times what the model says."""

LONGEST_MIN = 7 * 24 * 60.0
"""How long the last cold stage may get [min]; what is not cold after a week counts as never; own choice."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A body that cools through stages, and the rule it is judged by.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    food : Food
        Its properties.
    initial_c : float
        Temperature all through at minute 0 [°C].
    stages : tuple of Stage
        In order, with their stated minutes; the last is the cold stage that may have to last longer.
    rule : Profile
        The food-safety profile in force.
    surroundings : Surroundings
        What lies between body and air. The stages' films already include it; it is needed to compute films for another
        air.
    top : Layer or None
        A layer that lies on it, within the body's height; food and temperature are then those of what is below.
    fill : Fill or None
        The vessels it stands in, where it is a batch.
    hot_before_min : float
        How long it had left the heat at minute 0 [min], where it is below the rule's first temperature by then: the
        clock of every leg from there has run for as long.
    """

    body: Body
    food: Food
    initial_c: float
    stages: tuple[Stage, ...]
    rule: Profile
    surroundings: Surroundings = UNCOVERED
    top: Layer | None = None
    fill: Fill | None = None
    hot_before_min: float = 0.0

    @property
    def cold_c(self) -> float:
        """The temperature at which it counts as cold [°C]: the rule's, or 5."""
        return COLD_C if self.rule.cold_c is None else self.rule.cold_c

    @property
    def minutes(self) -> float:
        """Total stated minutes of all stages [min]."""
        return sum(stage.minutes for stage in self.stages)

    @property
    def case(self) -> Case:
        """The case with all stages as stated."""
        return Case(self.body, self.food, self.initial_c, self.stages, self.top)


def aimed_at(plan: Plan, minutes: float) -> Plan:
    """Return a plan whose rule asks for nothing but that it is cold in so many minutes since it left the heat.

    Parameters
    ----------
    plan : Plan
        What cools.
    minutes : float
        By when it should be cold [min].

    Returns
    -------
    Plan
        For comparing ways to cool it; what its own rule says of it is no longer asked.
    """
    leg = Leg(None, plan.cold_c, max(1.0, minutes - plan.hot_before_min))
    return replace(plan, rule=replace(plan.rule, legs=(leg,)))


def lengthened(plan: Plan) -> Case:
    """Return the case with its last stage lengthened to a week; the other stages stay as stated.

    Parameters
    ----------
    plan : Plan
        What cools.

    Returns
    -------
    Case
        The case to solve.
    """
    *before, last = plan.stages
    longer = replace(last, minutes=max(last.minutes, LONGEST_MIN))
    return replace(plan.case, stages=(*before, longer))


def freezes(plan: Plan) -> Freezing | None:
    """Find a stage that freezes the rim before the core is cold; the estimate ends there.

    Parameters
    ----------
    plan : Plan
        What cools; its last stage is lengthened until it is cold.

    Returns
    -------
    Freezing or None
        The stage, and how long it may last; None when it gets cold before anything freezes.
    """
    case = lengthened(plan)
    if min(stage.ambient_c for stage in case.stages) >= FREEZES_C:
        return None
    run = case.run()
    (cold,) = core_times(run, [plan.cold_c])
    return freezing(run, run.minutes if cold is None else cold)


def freezes_as_stated(plan: Plan) -> Freezing | None:
    """Find a stage that freezes the rim within its stated minutes, whether the core is cold by then or not.

    Parameters
    ----------
    plan : Plan
        What cools.

    Returns
    -------
    Freezing or None
        The stage, and how long it may last; None when nothing freezes.
    """
    if min(stage.ambient_c for stage in plan.stages) >= FREEZES_C:
        return None
    return freezing(plan.case.run())


Clock = Literal["stated", "cooling"]


def ruling_clock(stated_minutes: float, slow_minutes: float | None) -> tuple[Clock, float | None]:
    """Return which time is longer: the minimum the recipe states, or cooling at its slow end.

    Parameters
    ----------
    stated_minutes : float
        The stated minimum, to set or to rest overnight [min].
    slow_minutes : float or None
        How long cooling takes at the slow end [min]; None when it may never get cold.

    Returns
    -------
    tuple of str and float or None
        `stated` or `cooling`, and its minutes; the stated minimum when both are equal.

    References
    ----------
    A dessert is ready only when it has set and is cold: common practice, no source.
    """
    if slow_minutes is not None and slow_minutes <= stated_minutes:
        return "stated", stated_minutes
    return "cooling", slow_minutes


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why the slow end of a plan is open: nothing measured says how long it may take.

    Parameters
    ----------
    thinnest_mm : float
        How thick the body is in its thinnest direction [mm].
    most_mm : float
        Up to which thickness the range holds [mm].

    References
    ----------
    Dickerson and Read 1973: 14 gal of stew took 84 h from 46 to 10 °C where the model says 43 in still air of 3 °C, 8
    gal of white sauce 25 h to 14 °C where it says 24. North Dakota State University Extension: 2 gal of chili in a
    bucket took about 10 h to 5 °C where it says 27. Shapes and air are assumed; the records do not say them.
    """

    thinnest_mm: float
    most_mm: float = BULK_MM


def doubt_of(plan: Plan, cold_minutes: float | None) -> Doubt | None:
    """Say whether a plan is one that the range does not hold for: a thick filling that stands in its vessel unstirred.

    Parameters
    ----------
    plan : Plan
        What cools.
    cold_minutes : float or None
        When its core is cold as given [min]; None when never.

    Returns
    -------
    Doubt or None
        None where the range holds. Ways out: divide it over more or shallower vessels, or stir it in an ice bath.
    """
    thinnest = _thinnest_mm(plan.body)
    if plan.fill is None or thinnest <= BULK_MM:
        return None
    begins = accumulate((stage.minutes for stage in plan.stages[:-1]), initial=0.0)
    until = inf if cold_minutes is None else cold_minutes
    stands = any(
        stage.stirred_every_min is None and begin < until for stage, begin in zip(plan.stages, begins, strict=True)
    )
    return Doubt(thinnest) if stands else None


def _thinnest_mm(body: Body) -> float:
    if isinstance(body, Cylinder):
        return min(body.diameter_mm, body.height_mm)
    if isinstance(body, Block):
        return min(body.length_mm, body.width_mm, body.height_mm)
    return body.height_mm
