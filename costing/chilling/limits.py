"""How deep or how wide a dessert may be to be cold in time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from costing.chilling.bodies import Body, Stage
from costing.chilling.chill import Freezing, core_times, freezing
from costing.chilling.composition import Food
from costing.chilling.conduction import Run
from costing.chilling.profiles import Leg, LegResult, Profile, results

Sized = Callable[[float], Body]
"""A size [mm] -> a body of that size."""

SHORTEST_MM, LONGEST_MM = 2.0, 300.0
_EXACT_MM = 0.05


@dataclass(frozen=True, slots=True)
class Largest:
    """The largest size that keeps a rule.

    Parameters
    ----------
    mm : float or None
        The size [mm]; None when even the smallest tried does not keep it.
    more : bool
        Whether it is the largest tried, so that more would do too.
    freezes : Freezing or None
        A stage that freezes the rim of that size before the rule is kept, where the estimate does not hold.
    """

    mm: float | None
    more: bool = False
    freezes: Freezing | None = None


@dataclass(frozen=True, slots=True)
class Cooling:
    """How something is cooled, whatever its size.

    Parameters
    ----------
    food : Food
        Its properties.
    initial_c : float
        Temperature all through at minute 0 [°C].
    stages : tuple of Stage
        In order; as long as the rule takes, or longer.
    """

    food: Food
    initial_c: float
    stages: tuple[Stage, ...]


def leg_results(body: Body, cooling: Cooling, profile: Profile) -> tuple[LegResult, ...]:
    """Check a body's core against a profile.

    Parameters
    ----------
    body : Cylinder, Slab or Block
        The shape.
    cooling : Cooling
        How it is cooled.
    profile : Profile
        The rule.

    Returns
    -------
    tuple of LegResult
        One for each leg.
    """
    limits = sorted({c for leg in profile.legs for c in (leg.from_c, leg.to_c) if c is not None})
    times = core_times(Run(body, cooling.food, cooling.initial_c, cooling.stages), limits)
    return results(profile, cooling.initial_c, dict(zip(limits, times, strict=True)).__getitem__)


def largest(
    sized: Sized,
    cooling: Cooling,
    profile: Profile,
    *,
    leg: Leg | None = None,
    low_mm: float = SHORTEST_MM,
    high_mm: float = LONGEST_MM,
) -> Largest:
    """Find the largest size that keeps a profile, by halving: what is larger cools slower.

    Parameters
    ----------
    sized : callable
        Size to body, for example a cake of 250 mm of that height.
    cooling : Cooling
        How it is cooled.
    profile : Profile
        The rule.
    leg : Leg or None, optional
        Only this leg of it; all when left out.
    low_mm, high_mm : float, optional
        The smallest and the largest size tried [mm].

    Returns
    -------
    Largest
        The size to a twentieth of a millimetre, rounded down.

    Raises
    ------
    ValueError
        When the profile states no times, or the sizes are not in order.
    """
    if not profile.legs or not 0 < low_mm < high_mm:
        raise ValueError("A largest size takes a rule with times, and a smallest size below the largest.")
    if not _kept(sized(low_mm), cooling, profile, leg):
        return Largest(None)
    more = _kept(sized(high_mm), cooling, profile, leg)
    low_mm = high_mm if more else low_mm
    while high_mm - low_mm > _EXACT_MM:
        middle = (low_mm + high_mm) / 2
        low_mm, high_mm = (middle, high_mm) if _kept(sized(middle), cooling, profile, leg) else (low_mm, middle)
    return Largest(low_mm, more, _freezes(sized(low_mm), cooling, profile))


def _kept(body: Body, cooling: Cooling, profile: Profile, leg: Leg | None) -> bool:
    return all(each.kept for each in leg_results(body, cooling, profile) if leg in (None, each.leg))


def _freezes(body: Body, cooling: Cooling, profile: Profile) -> Freezing | None:
    run = Run(body, cooling.food, cooling.initial_c, cooling.stages)
    times: Sequence[float | None] = core_times(run, [leg.to_c for leg in profile.legs])
    return freezing(run, max((time for time in times if time is not None), default=run.minutes))
