"""How long a dessert stays cold out of the cold, and how long it may be out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costing.chilling import places
from costing.chilling.bodies import Body
from costing.chilling.chill import COLD_START_C, WARMED
from costing.chilling.composition import Food
from costing.chilling.film_coefficients import away_stage
from costing.chilling.layers import Layer
from costing.chilling.profiles import COLD_C, LUKEWARM_C, Profile, TimeOutClause
from costing.chilling.ranges import FAST, Range, range_of, warm_times

OUT_MIN = 24 * 60.0
"""How long warming is followed [min]; own choice."""

_STEP_MIN = 5
_PLACES = (places.DEEP, places.MEAN, places.RIM)


@dataclass(frozen=True, slots=True)
class WarmingTimes:
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
class TimeOutLimit:
    """The longest time a dessert may be out of the cold.

    Parameters
    ----------
    minutes : float
        How long [min].
    clause : TimeOutClause or None
        The rule's clause that sets it; None when it is the estimated time (fast end) that the place ten millimetres
        inside the rim stays cold.
    longer : tuple of TimeOutClause
        Clauses that allow more, and whose highest temperature the estimate does not exceed; they require that it is
        measured.
    used : float
        How long of a rule's time was spent before it is handed over [min].
    """

    minutes: float
    clause: TimeOutClause | None
    longer: tuple[TimeOutClause, ...] = ()
    used: float = 0.0

    @property
    def allowed_minutes(self) -> int:
        """The minutes to plan with: what is left of a rule's time, an estimate rounded down to five minutes [min]."""
        whole = int(max(0.0, self.minutes - self.used))
        return whole if self.clause is not None or whole < _STEP_MIN else whole - whole % _STEP_MIN

    @property
    def under(self) -> bool:
        """Whether the time has to be less than `minutes`, not just as much."""
        return self.clause is not None and self.clause.under

    @property
    def back_minutes(self) -> int | None:
        """Up to when it may go back into the cold [min]; None where the rule states none, or that is used up."""
        if self.clause is None or self.clause.back_minutes is None:
            return None
        return int(self.clause.back_minutes - self.used) if self.clause.back_minutes - self.used >= 1 else None

    @property
    def longest_minutes(self) -> int:
        """The longest time in whole minutes that keeps the limit [min]."""
        return self.allowed_minutes - (1 if self.under else 0)


def warming_times(
    body: Body,
    food: Food,
    carried: str,
    air_c: float,
    start_c: float = COLD_START_C,
    limits: Sequence[float] = (COLD_C, LUKEWARM_C),
    top: Layer | None = None,
) -> list[WarmingTimes]:
    """Find how long places stay at or below temperatures out of the cold, with the range.

    The fast end has stronger films, better conduction and air a degree warmer. A plan uses it.

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
    top : Layer or None, optional
        A layer that lies on it; its temperature is ignored.

    Returns
    -------
    list of WarmingTimes
        One for each temperature; None in a range is longer than a day.
    """
    (found,) = warm_times(body, food, away_stage(carried, OUT_MIN, air_c), [air_c], limits, start_c, top=top)
    return [
        WarmingTimes(limit, *(range_of(times[WARMED.index(place)]) for place in _PLACES))
        for limit, times in zip(limits, found, strict=True)
    ]


def time_out_limit(
    rule: Profile,
    body: Body,
    food: Food,
    carried: str,
    air_c: float,
    start_c: float = COLD_START_C,
    top: Layer | None = None,
) -> TimeOutLimit | None:
    """Find how long a cold dessert may be out of the cold.

    Where the rule states times, the shortest that applies is the limit, even if the food gets warm earlier. Where it
    states none, the food has to stay cold ten millimetres inside its rim, at the fast end of the estimate.

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
    start_c : float, optional
        Temperature all through when it leaves the cold [°C].
    top : Layer or None, optional
        A layer that lies on it; its temperature is ignored.

    Returns
    -------
    TimeOutLimit or None
        The time (at most a day where it is estimated) and its source; None for no limit, in air that is itself cold.
    """
    cold_c = COLD_C if rule.cold_c is None else rule.cold_c
    if air_c <= cold_c:
        return None
    warmest = {out.warmest_c for out in rule.times_out if out.warmest_c is not None}
    limits = [cold_c, *sorted(warmest)]
    (found,) = warm_times(body, food, away_stage(carried, OUT_MIN, air_c), [air_c], limits, start_c, [FAST], top)
    rims = {limit: times[WARMED.index(places.RIM)][0] for limit, times in zip(limits, found, strict=True)}
    holds = sorted((out for out in rule.times_out if _holds(out, rims)), key=lambda out: out.minutes)
    if holds:
        return TimeOutLimit(holds[0].minutes, holds[0], tuple(out for out in holds if out.minutes > holds[0].minutes))
    deep = found[0][WARMED.index(places.DEEP)][0]
    return TimeOutLimit(min([OUT_MIN if deep is None else deep, *(out.minutes for out in rule.times_out)]), None)


def stated_time_out(rule: Profile, air_c: float) -> TimeOutLimit | None:
    """Find how long cold food may be out by the rule alone: for food of which neither body nor composition is known.

    Parameters
    ----------
    rule : Profile
        The food-safety profile in force.
    air_c : float
        Temperature of the air outside the box [°C].

    Returns
    -------
    TimeOutLimit or None
        The shortest time that is stated whatever the temperature; None where there is none, or the air is itself cold.
    """
    cold_c = COLD_C if rule.cold_c is None else rule.cold_c
    stated = [clause for clause in rule.times_out if clause.warmest_c is None]
    if air_c <= cold_c or not stated:
        return None
    clause = min(stated, key=lambda one: one.minutes)
    return TimeOutLimit(clause.minutes, clause)


def _holds(out: TimeOutClause, rims: dict[float, float | None]) -> bool:
    if out.warmest_c is None:
        return True
    reached = rims[out.warmest_c]
    return reached is None or reached >= out.minutes
