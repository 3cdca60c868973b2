"""Changes with which a batch's cooling would meet its rule: more vessels, other vessels, an ice bath, other air."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from catalog.cooling.aims import aim_of, aimed
from catalog.cooling.batch_dividing import dividing
from catalog.cooling.batches import Batches, batch_cycles, bath_minutes, shape_of
from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.remedies import Remedies, Remedy, airs, faster_ways
from catalog.cooling.stages import CoolingCycle, CycleStage
from catalog.records.reasons import Reason
from costing.chilling import (
    ICE_BATH,
    DoesNotFit,
    Fill,
    Plan,
    Stage,
    divided,
    filled,
    ice_kg,
    trial,
    trials,
    vessels_needed,
)
from costing.chilling.batches import BatchRemedy, batch_remedies, is_usable
from costing.contract import Book, Recipe, Vessel

#: Over how many vessels a batch is divided at most; own choice.
MOST = 12
_ORDER = {"kept": 0, "likely": 1}


def batch_remedies_for(cycle: CoolingCycle, book: Book, batches: Batches | None = None) -> Remedies:
    """Try each change a kitchen can make with a batch, by itself: its lid off first, then those that help.

    ``batches`` is the amount it is of, for smaller ones. Each is tried with the stages it would then cool through.
    Where the rule states no times, they are held against its aim.
    """
    aim, cycle = aim_of(cycle.plan.rule), aimed(cycle)
    stirred = cycle.after.kind not in ("bake", "freeze")
    owned, every = book.vessel(cycle.after.vessel or "").owned, cycle.after.stir_min
    found = list(_smaller(cycle, batches, book))
    # What is stirred more often already is not stirred less to help.
    at_least = None if every is None or not cycle.after.ice_bath else float(every)
    for one in batch_remedies(cycle.plan, stirred=stirred, now_every_min=at_least):
        change = one
        if one.change == "divided":
            fill = one.fill if aim is None else _at_hand(one.fill, cycle, owned)
            # What stands lower leaves its ice bath sooner than the batch that was looked at.
            change = replace(one, fill=fill, trial=trial(_in_vessel(cycle, fill)))
        found.append(Remedy(_change(change, cycle), change.trial, _short(change.fill.count, owned, cycle)))
    if all(stage.air_movement != ICE_BATH for stage in cycle.stages):
        count = 0 if cycle.plan.fill is None else cycle.plan.fill.count
        found += [Remedy(change, tried, _short(count, owned, cycle)) for change, tried in airs(cycle.plan)]
    others, failed = _others(cycle, book.vessels, every=aim is not None)
    if aim is not None:
        stays = (Reason("lid_stays"),) if cycle.after.covered else ()
        return faster_ways([*_lid_off(cycle, owned), *found, *others], stays, aim, trial(cycle.plan))
    remarks = (Reason("other_vessels_would_not", {"count": failed}),) if failed else ()
    if cycle.after.covered:
        remarks = (*remarks, Reason("lid_stays"))
    return Remedies((*_lid_off(cycle, owned), *sorted((*found, *others), key=_worse)), remarks)


def _rank(one: Remedy) -> tuple[int, float]:
    """Return how good a change is: by its verdict, and by its time where the rule is not met."""
    slow = inf if one.trial.cold_slow is None else one.trial.cold_slow
    return (_ORDER[one.verdict], 0.0) if one.verdict in _ORDER else (len(_ORDER), slow)


def _at_hand(fill: Fill, cycle: CoolingCycle, owned: int | None) -> Fill:
    """Return a batch over the vessels that are owned, where it is to be divided over more and there are some left."""
    now = cycle.plan.fill
    if now is None or owned is None or not now.count < owned < fill.count:
        return fill
    return divided(fill, owned)


def _worse(one: Remedy) -> int:
    return len(_ORDER) if one.short else _ORDER.get(one.verdict, len(_ORDER))


def _short(count: int, owned: int | None, cycle: CoolingCycle) -> Reason | None:
    """Return that a change takes more vessels than the kitchen has."""
    if owned is None or count <= owned:
        return None
    return Reason("short_of", {"count": count, "owned": owned, "vessel": cycle.after.vessel or ""})


def _smaller(cycle: CoolingCycle, batches: Batches | None, book: Book) -> Iterator[Remedy]:
    """Try to make an amount in the fewest more batches that keep the rule."""
    if batches is None or not isinstance(cycle.of, Recipe):
        return
    ways = dividing(cycle.of.code, batches.grams, book)
    count = ways.batches
    if count is None:
        return
    each = batches.grams / count
    cycles = batch_cycles(cycle.of, each / 1000, cycle.mixture, book)
    for one in cycles:
        if one.last_at == cycle.last_at and one.after is cycle.after and one.plan.fill is not None:
            params = {"count": count, "grams": each, "fill": one.plan.fill.count, "vessel": cycle.after.vessel or ""}
            params |= {"minutes": ways.minutes}
            yield Remedy(Reason("batches", params), trial(replace(one.plan, rule=cycle.plan.rule)))


def _lid_off(cycle: CoolingCycle, owned: int | None) -> Iterator[Remedy]:
    """Try to leave the lid off while it cools; nothing where it has none. What it brings is said though not enough."""
    fill = cycle.plan.fill
    if fill is None or not fill.vessel.lid:
        return
    bare = replace(fill, vessel=replace(fill.vessel, lid=False))
    yield Remedy(Reason("lid_off"), trial(_in_vessel(cycle, bare)), _short(fill.count, owned, cycle))


def _change(one: BatchRemedy, cycle: CoolingCycle) -> Reason:
    params = {"count": one.fill.count, "height_mm": one.fill.height_mm, "vessel": cycle.after.vessel or ""}
    if one.change == "divided":
        return Reason("divided", params)
    code = "bath_until_cold" if one.bath_to_c == cycle.plan.cold_c else "bath_first"
    ice = ice_kg(one.fill.kg, cycle.plan.food, cycle.plan.initial_c, one.bath_to_c)
    params |= {"minutes": one.bath_minutes, "to_c": one.bath_to_c, "ice": ice}
    if one.stirred_every_min is None:
        return Reason(code, params)
    return Reason(f"{code}_stirred", params | {"every": one.stirred_every_min})


@dataclass(frozen=True, slots=True)
class _Other:
    """Another vessel the kitchen owns, with a batch divided over some of it."""

    vessel: Vessel
    fill: Fill


def _others(cycle: CoolingCycle, vessels: Sequence[Vessel], *, every: bool = False) -> tuple[list[Remedy], int]:
    """Try the other vessels that hold it; return the fewest of each that help, and how many sorts would not.

    With ``every`` also those that would not, each in as many as are the fastest.
    """
    tried = [one for vessel in vessels if vessel.name != cycle.after.vessel for one in _fills(cycle, vessel)]
    found = trials([_in_vessel(cycle, one.fill) for one in tried]) if tried else []
    best: dict[str, Remedy] = {}
    for one, result in zip(tried, found, strict=True):
        height = {"vessel": one.vessel.name, "count": one.fill.count, "height_mm": one.fill.height_mm}
        remedy = Remedy(Reason("in_vessels" if one.fill.count > 1 else "in_vessel", height), result)
        known = best.get(one.vessel.name)
        if known is None or _rank(remedy) < _rank(known):
            best[one.vessel.name] = remedy
    helping = [remedy for remedy in best.values() if every or remedy.may_help]
    return helping, len(best) - len(helping)


def _fills(cycle: CoolingCycle, vessel: Vessel) -> Iterator[_Other]:
    """Yield a batch in as few of these vessels as hold it, in one and two more, and in all there are."""
    fill = cycle.plan.fill
    try:
        shape = replace(shape_of(vessel), lid=cycle.after.covered)
    except NotWorkedOut:
        return
    if fill is None:
        return
    least = vessels_needed(shape, fill.kg, fill.rho)
    most = MOST if vessel.owned is None else min(vessel.owned, MOST)
    for count in sorted({least, least + 1, least + 2, most}):
        if least <= count <= most:
            try:
                other = filled(shape, fill.kg, fill.rho, count)
            except DoesNotFit:
                continue
            if is_usable(other):
                yield _Other(vessel, other)


def _in_vessel(cycle: CoolingCycle, fill: Fill) -> Plan:
    """Return the plan of a cycle in other vessels, through the same stages."""
    surroundings = fill.vessel.surroundings(cycle.plan.surroundings.base)
    plan = replace(cycle.plan, body=fill.body, fill=fill, surroundings=surroundings)
    return replace(plan, stages=tuple(_stage(plan, each, last=each is cycle.stages[-1]) for each in cycle.stages))


def _stage(plan: Plan, each: CycleStage, *, last: bool) -> Stage:
    if each.air_movement != ICE_BATH:
        return plan.surroundings.stage(each.air_movement, each.minutes, each.air_c)
    every = each.stage.stirred_every_min
    return plan.surroundings.stage(ICE_BATH, bath_minutes(plan, each.step, first=not last), each.air_c, every)
