"""A planned cooling cycle, whose last cold stage lasts until the food is cold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from costing.chilling.bodies import Body, Stage
from costing.chilling.chill import FREEZES_C, Freezing, core_times, freezing
from costing.chilling.composition import Food
from costing.chilling.conduction import Case
from costing.chilling.film_coefficients import UNCOVERED, Surroundings
from costing.chilling.profiles import COLD_C, Profile

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
    """

    body: Body
    food: Food
    initial_c: float
    stages: tuple[Stage, ...]
    rule: Profile
    surroundings: Surroundings = UNCOVERED

    @property
    def cold_c(self) -> float:
        """The temperature at which it counts as cold [°C]: the rule's, or 5."""
        return COLD_C if self.rule.cold_c is None else self.rule.cold_c

    @property
    def minutes(self) -> float:
        """Total stated minutes of all stages [min]."""
        return sum(stage.minutes for stage in self.stages)


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
    return Case(plan.body, plan.food, plan.initial_c, (*before, longer))


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
    return freezing(Case(plan.body, plan.food, plan.initial_c, plan.stages).run())


Clock = Literal["stated", "cooling"]


def ruling_clock(stated_minutes: float, slow_minutes: float | None) -> tuple[Clock, float | None]:
    """Return which time is longer: the minimum the recipe states, or cooling at its slow end.

    Parameters
    ----------
    stated_minutes : float
        The stated minimum, to set or to rest overnight [min].
    slow_minutes : float or None
        How long cooling takes at the slow end [min]; None when it never gets cold.

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
