"""Changes with which a product's cooling would meet its rule: less height, less width, other air, other molds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf, pi
from typing import Final

from catalog.cooling.aims import Aim, aim_of, aimed
from catalog.cooling.mold_bodies import mold_body
from catalog.cooling.stages import CoolingCycle
from catalog.records.reasons import Reason
from costing.chilling import (
    Block,
    Body,
    Cylinder,
    Plan,
    Sizes,
    Surroundings,
    Trial,
    Verdict,
    depth,
    diameter,
    is_faster,
    trial,
    trials,
    without_room_time,
)
from costing.chilling import with_air as in_air
from costing.chilling.remedies import SMALLEST_MM
from costing.contract import Mold, Product


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that was tried, and the result of the plan with it; ``short`` where too few vessels are owned for it."""

    change: Reason
    trial: Trial
    short: Reason | None = None

    @property
    def verdict(self) -> Verdict:
        """The verdict of the rule with this change."""
        return self.trial.verdict

    @property
    def helps(self) -> bool:
        """Whether the rule is met with this change, at the slow end too."""
        return self.verdict == "kept" and self.short is None

    @property
    def may_help(self) -> bool:
        """Whether the rule is met with this change at the likely figures at least."""
        return self.verdict in ("kept", "likely") and self.short is None


@dataclass(frozen=True, slots=True)
class Remedies:
    """All changes tried, and remarks; with an ``aim`` those that cool faster, the fastest first."""

    tried: tuple[Remedy, ...]
    remarks: tuple[Reason, ...]
    aim: Aim | None = None

    @property
    def hopeless(self) -> bool:
        """Whether no change that was tried would meet the rule, not even at the likely figures."""
        return not any(remedy.may_help for remedy in self.tried)

    @property
    def unsure(self) -> bool:
        """Whether some change would meet the rule at the likely figures, and none at the slow end."""
        return not self.hopeless and not any(remedy.helps for remedy in self.tried)


def remedies_for(cycle: CoolingCycle, product: Product, molds: Sequence[Mold]) -> Remedies:
    """Try each change a kitchen can make, by itself and with less time in the room; ``molds`` are those it owns.

    Of its other molds only those that help are listed. Where the rule states no times, they are held against its aim.
    """
    aim, cycle = aim_of(cycle.plan.rule), aimed(cycle)
    now = None if aim is None else trial(cycle.plan)
    of_air = [*_uncovered(cycle, every=aim is not None), *(Remedy(change, found) for change, found in airs(cycle.plan))]
    sizes, remarks = _sizes(cycle.plan)
    others = list(_molds(cycle, product, molds))
    plans = [*sizes, *others]
    found = trials([plan for _, plan in plans]) if plans else []
    tried = [Remedy(change, one) for (change, _), one in zip(plans, found, strict=True)]
    of_sizes, in_molds = tried[: len(sizes)], tried[len(sizes) :]
    helping = [one for one in in_molds if one.may_help or now is not None]
    covered = (Reason("cover_stays"),) if cycle.plan.surroundings.covered else ()
    failed = _failed_molds(len(in_molds), len(helping))
    if aim is not None and now is not None:
        return faster_ways([*of_air, *of_sizes, *helping], covered, aim, now)
    return Remedies((*of_air, *of_sizes, *helping), (*remarks, *failed, *covered))


def faster_ways(tried: Sequence[Remedy], remarks: tuple[Reason, ...], aim: Aim, now: Trial) -> Remedies:
    """Return those changes that cool faster than ``now``, the fastest first; what cannot be done comes last."""
    faster = [one for one in tried if is_faster(one.trial, now)]
    return Remedies(tuple(sorted(faster, key=lambda one: (one.short is not None, _slow(one)))), remarks, aim)


def _slow(one: Remedy) -> float:
    return inf if one.trial.cold_slow is None else one.trial.cold_slow


def _uncovered(cycle: CoolingCycle, *, every: bool) -> Iterator[Remedy]:
    """Try to leave it uncovered while it cools; nothing where it is, or without ``every`` where that is not enough."""
    plan = cycle.plan
    if not plan.surroundings.covered:
        return
    bare = replace(plan.surroundings, covered=False)
    stages = tuple(bare.stage(each.air_movement, each.minutes, each.air_c) for each in cycle.stages)
    found = Remedy(Reason("uncovered"), trial(replace(plan, stages=stages, surroundings=bare)))
    if every or found.may_help:
        yield found


def airs(plan: Plan) -> Iterator[tuple[Reason, Trial]]:
    """Return each kind of air, with and without the time in the room; changes without effect are left out."""
    straight = without_room_time(plan)
    if straight is not None:
        yield Reason("straight_into_the_cold"), straight
    for air in ("fan", "blast"):
        found = in_air(plan, air)
        if found.plan.stages == plan.stages:
            continue
        params = {"air_c": found.plan.stages[-1].ambient_c}
        yield Reason(air, params), found
        sooner = without_room_time(plan, air)
        if sooner is not None:
            yield Reason(f"{air}_and_straight", params), sooner


def _sizes(plan: Plan) -> tuple[list[tuple[Reason, Plan]], list[Reason]]:
    """Return plans of the largest sizes that meet the rule, and a remark where even the smallest does not."""
    plans: list[tuple[Reason, Plan]] = []
    remarks: list[Reason] = []
    body = plan.body
    # The height of two layers is not one measure: only its width is searched.
    height = depth(plan) if plan.top is None else None
    for mm in _smaller(height, body.height_mm) if height else ():
        change = Reason("lower", {"most_mm": mm, "now_mm": body.height_mm})
        plans.append((change, replace(plan, body=replace(body, height_mm=mm))))
    if height is not None and height.likely_mm is None:
        remarks.append(Reason("no_height_keeps", {"least_mm": SMALLEST_MM}))
    if not isinstance(body, Cylinder | Block):
        return plans, remarks
    width = diameter(plan)
    code, now = ("smaller", body.diameter_mm) if isinstance(body, Cylinder) else ("narrower", body.width_mm)
    for mm in _smaller(width, now) if width else ():
        if mm < _LEAST_WIDTH * now:
            continue
        plans.append((Reason(code, {"most_mm": mm, "now_mm": now}), replace(plan, body=_scaled(body, mm))))
    if width is not None and width.likely_mm is None:
        remarks.append(Reason(f"none_{code}_keeps", {"least_mm": SMALLEST_MM}))
    return plans, remarks


#: What is narrower than this share of the present width is another cake, no remedy [1]; own choice.
_LEAST_WIDTH: Final = 2 / 3


def _smaller(sizes: Sizes, present: float) -> list[float]:
    """Return the sizes worth naming, first the one that meets the rule at the slow end too."""
    found = (sizes.slow_mm, sizes.likely_mm)
    return list(dict.fromkeys(mm for mm in found if mm is not None and mm < present))


def _scaled(body: Cylinder | Block, mm: float) -> Body:
    if isinstance(body, Cylinder):
        return replace(body, diameter_mm=mm)
    return replace(body, length_mm=mm * body.length_mm / body.width_mm, width_mm=mm)


def _molds(cycle: CoolingCycle, product: Product, molds: Sequence[Mold]) -> Iterator[tuple[Reason, Plan]]:
    """Return a plan for each other mold, filled to the present height or to its rim, with the same stages."""
    present = cycle.plan.body.height_mm
    for mold in molds:
        rim = present if mold.height_cm is None else float(mold.height_cm) * 10
        body = mold_body(mold, min(present, rim))
        if mold.name == product.mold or body is None or not _holds_as_much(body, cycle.plan.body):
            continue
        surroundings = Surroundings(mold.wall, product.stands_on, product.covered)
        stages = tuple(surroundings.stage(each.air_movement, each.minutes, each.air_c) for each in cycle.stages)
        plan = replace(cycle.plan, body=body, stages=stages, surroundings=surroundings)
        if plan.top is not None:
            plan = replace(plan, top=replace(plan.top, height_mm=plan.top.height_mm * body.height_mm / present))
        yield Reason("in_mold", {"mold": str(mold), "height_mm": body.height_mm}), plan


#: A mold that holds less than this share of the present one makes another dessert, no smaller cake [1]; own choice.
_LEAST_SHARE: Final = 1 / 3


def _holds_as_much(body: Body, present: Body) -> bool:
    """Return whether a mold holds about what one of the product is; a tray holds as much as is spread on it."""
    volumes = [_volume(one) for one in (body, present)]
    return None in volumes or (volumes[0] or 0) >= _LEAST_SHARE * (volumes[1] or 0)


def _volume(body: Body) -> float | None:
    if isinstance(body, Cylinder):
        return pi / 4 * body.diameter_mm**2 * body.height_mm
    return body.length_mm * body.width_mm * body.height_mm if isinstance(body, Block) else None


def _failed_molds(tried: int, helping: int) -> Iterator[Reason]:
    failed = tried - helping
    if not failed:
        return
    if helping:
        yield Reason("one_mold_would_not" if failed == 1 else "some_molds_would_not", {"count": failed})
    else:
        yield Reason("the_other_mold_would_not" if failed == 1 else "no_mold_would", {"count": failed})
