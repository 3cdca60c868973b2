"""What would keep the rule for a batch in its vessels: more of them, an ice bath first, an ice bath all the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil
from typing import Literal

from costing.chilling.baths import ICE_WATER_C
from costing.chilling.bodies import Stage
from costing.chilling.crossings import WARM_C
from costing.chilling.film_coefficients import ICE_BATH
from costing.chilling.plans import LONGEST_MIN, Plan
from costing.chilling.profiles import LUKEWARM_C
from costing.chilling.ranges import SLOW, at_point, times_to
from costing.chilling.remedies import SMALLEST_MM, Trial, trials
from costing.chilling.vessels import Fill, divided

MOST_VESSELS = 12
"""Over how many vessels a batch is divided at most; own choice."""

STIR_MIN = 10.0
"""How often a filling in an ice bath is stirred, where that is proposed [min]; own choice."""

_STEP_MIN = 5
_PARTS = 4
_ORDER = {"kept": 0, "likely": 1}

Change = Literal["divided", "bath_first", "bath"]


@dataclass(frozen=True, slots=True)
class BatchRemedy:
    """A change that was tried for a batch.

    Parameters
    ----------
    change : str
        `divided`: over more of the same vessels; `bath_first`: in an ice bath until it is lukewarm, then as planned
        without its time in the room; `bath`: in an ice bath until it is cold.
    fill : Fill
        The vessels with this change.
    stirred_every_min : float or None
        How often it is stirred in the ice bath [min]; None when it stands.
    bath_minutes : float
        How long it is in the ice bath, at the slow end [min]; 0 without one.
    bath_to_c : float
        How warm it leaves the ice bath at most [°C].
    trial : Trial
        How the plan does with it.
    """

    change: Change
    fill: Fill
    stirred_every_min: float | None
    bath_minutes: float
    bath_to_c: float
    trial: Trial

    @property
    def helps(self) -> bool:
        """Whether the rule is met with this change, also at the slow end."""
        return self.trial.verdict == "kept"


def batch_remedies(plan: Plan, *, stirred: bool = True, now_every_min: float | None = None) -> tuple[BatchRemedy, ...]:
    """Try what a kitchen can do with a batch, all else unchanged.

    Parameters
    ----------
    plan : Plan
        What cools, in vessels.
    stirred : bool, optional
        Whether it may be stirred; what is baked, set or layered may not.
    now_every_min : float or None, optional
        How often it is stirred in an ice bath already [min]: then no bath is tried that is stirred less often.

    Returns
    -------
    tuple of BatchRemedy
        Divided over as few more vessels as keep the rule (or over the most there may be), then ice baths; none for a
        plan that is not in vessels.
    """
    if plan.fill is None:
        return ()
    every_min = (None, STIR_MIN) if now_every_min is None else (min(STIR_MIN, now_every_min),)
    bathed = [_Bathed(plan, every) for every in (every_min if stirred and plan.top is None else (None,))]
    wanted = [one for each in bathed for one in each.plans()]
    found = trials([other for *_, other in wanted]) if wanted else []
    baths = (
        BatchRemedy(change, plan.fill, every, minutes, to_c, each)
        for (change, every, minutes, to_c, _), each in zip(wanted, found, strict=True)
    )
    return (*_divided(plan, plan.fill), *baths)


def _divided(plan: Plan, fill: Fill) -> Iterator[BatchRemedy]:
    """Search for the fewest vessels that keep the rule; where none do, take those that likely do, or the most.

    Nothing where it stands in as many or more already, or would be spread too thin, or fill more to the rim.
    """
    allowed = [at for at in range(fill.count + 1, MOST_VESSELS + 1) if is_usable(divided(fill, at))]
    if not allowed:
        return
    tried: dict[int, Trial] = {}
    low, high = allowed[0] - 1, allowed[-1] + 1
    while counts := [at for at in _among(low, high) if at not in tried]:
        found = trials([with_fill(plan, divided(fill, count)) for count in counts])
        tried |= dict(zip(counts, found, strict=True))
        low = max((at for at, one in tried.items() if one.verdict != "kept"), default=low)
        high = min((at for at, one in tried.items() if one.verdict == "kept"), default=high)
    if tried:
        best = min(tried, key=lambda at: (_ORDER.get(tried[at].verdict, len(_ORDER)), at))
        best = best if tried[best].verdict in _ORDER else max(tried)
        yield BatchRemedy("divided", divided(fill, best), None, 0.0, 0.0, tried[best])


def is_usable(fill: Fill) -> bool:
    """Say whether a kitchen would fill vessels so: not to the rim, and not thinner than anybody spreads it.

    Parameters
    ----------
    fill : Fill
        The batch in its vessels.

    Returns
    -------
    bool
        Whether it may be proposed.
    """
    return not fill.is_brimful and fill.height_mm >= SMALLEST_MM


def _among(low: int, high: int) -> list[int]:
    return sorted({low + (high - low) * part // _PARTS for part in range(1, _PARTS)} - {low})


@dataclass(frozen=True, slots=True)
class _Bathed:
    """A plan in an ice bath."""

    plan: Plan
    every: float | None

    def plans(self) -> Iterator[tuple[Change, float | None, float, float, Plan]]:
        """Yield each change with its bath's minutes and end, and the plan with it."""
        cold = tuple(stage for stage in self.plan.stages if stage.ambient_c < WARM_C and not stage.bath)
        ends = self.plan.rule.legs[0].to_c if self.plan.rule.legs else LUKEWARM_C
        lukewarm = ends if ends > self.plan.cold_c else LUKEWARM_C
        first, whole = self._minutes([lukewarm, self.plan.cold_c])
        if cold and first is not None and self.plan.case.hottest_c > lukewarm > self.plan.cold_c:
            yield "bath_first", self.every, first, lukewarm, replace(self.plan, stages=(self._stage(first), *cold))
        if whole is not None:
            yield "bath", self.every, whole, self.plan.cold_c, replace(self.plan, stages=(self._stage(whole),))

    def _stage(self, minutes: float) -> Stage:
        return self.plan.surroundings.stage(ICE_BATH, minutes, ICE_WATER_C, self.every)

    def _minutes(self, limits: list[float]) -> list[float | None]:
        case = replace(self.plan.case, stages=(self._stage(LONGEST_MIN),))
        (times,) = times_to([at_point(case, SLOW)], limits)
        return [None if time is None else ceil(max(time, 1.0) / _STEP_MIN) * float(_STEP_MIN) for time in times]


def with_fill(plan: Plan, fill: Fill, stages: tuple[Stage, ...] | None = None) -> Plan:
    """Return a plan in other vessels, or in more of them.

    Parameters
    ----------
    plan : Plan
        What cools.
    fill : Fill
        The vessels of the batch.
    stages : tuple of Stage or None, optional
        Its stages behind the walls of other vessels; None: those it has, which fits more of the same vessels.

    Returns
    -------
    Plan
        A layer on top is as thin as the batch below it becomes.
    """
    around, staged = fill.vessel.surroundings(plan.surroundings.base), plan.stages if stages is None else stages
    other = replace(plan, body=fill.body, fill=fill, surroundings=around, stages=staged)
    if plan.top is None or plan.fill is None:
        return other
    top = replace(plan.top, height_mm=plan.top.height_mm * fill.height_mm / plan.fill.height_mm)
    return replace(other, body=fill.vessel.body(fill.height_mm + top.height_mm), top=top)
