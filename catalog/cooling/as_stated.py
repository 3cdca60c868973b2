"""Stays in the cold that end before it is cold: what the steps state after them counts, not a longer stay."""

from collections.abc import Sequence
from dataclasses import replace

from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.stages import Made, Staged, is_cold, is_cold_stage, stages_after, station_of
from catalog.records.reasons import Reason
from costing.chilling import COLD_C, LONGEST_MIN, Plan, lengthened
from costing.chilling.ranges import FAST, SLOW, at_point, times_to
from costing.contract import Book, Step
from costing.timing.steps import clock_minutes

#: Work after the last stay in the cold, such as packing, up to which that stay is taken to last until it is cold, as an
#: order's timing plans it [min]; own choice.
PACKING_MIN = 60.0


def as_stated(plan: Plan, made: Made, staged: list[Staged], book: Book) -> list[Staged]:
    """Return the stages to judge by: those that a stay in the cold ends, and more where it ends before it is cold.

    ``plan`` is what cools, with the stages ``staged``. At the slow end; what never gets cold there stays as it is.

    Raises
    ------
    NotWorkedOut
        When it then stands in the room, and no stay in the cold follows; or when a step after it states anew how warm
        it leaves: what had not got cold yet would count as if it had.
    """
    found = list(staged)
    _not_restated(plan, made, found, book)
    while (beyond := stages_after(made, found[-1][0], plan.surroundings, book)) and not is_cold_stage(beyond[0][1]):
        tried = replace(plan, stages=tuple(stage.stage for _, stage in found))
        needed = _cold_minutes(tried)
        if needed is None or needed <= tried.minutes:
            break
        if not is_cold_stage(beyond[-1][1]):
            if _only_packing(beyond):
                break
            raise NotWorkedOut("cold_too_short", made.kind, made.of.code, **_short(found, beyond, needed))
        found += beyond
        _not_restated(plan, made, found, book)
    return found


def _not_restated(plan: Plan, made: Made, found: Sequence[Staged], book: Book) -> None:
    """Refuse a stay that ends too soon before a step that states how warm it leaves, unless it heats."""
    after = _states_anew(made, found[-1][0], book)
    if after is None or not is_cold_stage(found[-1][1]):
        return
    tried = replace(plan, stages=tuple(stage.stage for _, stage in found))
    needed = _cold_minutes(tried)
    if needed is None or needed <= tried.minutes:
        return
    last, before = found[-1][1], sum(stage.minutes for _, stage in found[:-1])
    facts = {"minutes": last.minutes, "needed": needed - before, "stated_c": float(after.leaves_c or 0)}
    raise NotWorkedOut("short_before_restated", made.kind, made.of.code, step=str(last.step), after=str(after), **facts)


def _states_anew(made: Made, last: int, book: Book) -> Step | None:
    """Return the step after a stay in the cold, before the next one, that states how warm it leaves; None if it heats.

    What is packed within the hour and stated to be cold says the same as the stay before it.
    """
    for step in made.of.steps[last + 1 :]:
        if step.heats or is_cold(step, station_of(step, book)):
            return None
        if step.leaves_c is not None:
            short = not step.waits and float(clock_minutes(step, 1, made.amount)) <= PACKING_MIN
            return None if short and float(step.leaves_c) <= COLD_C else step
    return None


def check_chilled(plan: Plan, chilled: Step, made: Made) -> None:
    """Check that a stay in the cold reaches what it is stated to leave at, at the fast end of the estimate at least.

    ``plan`` is what cools until then.

    Raises
    ------
    NotWorkedOut
        When it does not: from there on it would count as colder than it is.
    """
    stated_c = float(chilled.leaves_c or 0)
    ((minutes,),) = times_to([at_point(lengthened(plan), FAST)], [stated_c])
    if minutes is not None and minutes <= plan.minutes:
        return
    before = plan.minutes - plan.stages[-1].minutes
    facts = {"stated_c": stated_c, "minutes": plan.stages[-1].minutes, "needed": (minutes or LONGEST_MIN) - before}
    raise NotWorkedOut("chill_not_reached", made.kind, made.of.code, step=str(chilled), **facts)


def short_notes(staged: Sequence[Staged], found: Sequence[Staged]) -> tuple[Reason, ...]:
    """Return the remark that a stay ends before it is cold, so that the steps after it count; none where none does."""
    if len(found) == len(staged):
        return ()
    last = staged[-1][1]
    return (Reason("judged_as_stated", {"step": str(last.step), "minutes": last.minutes}),)


def _cold_minutes(plan: Plan) -> float | None:
    ((minutes,),) = times_to([at_point(lengthened(plan), SLOW)], [plan.cold_c])
    return minutes


def _only_packing(beyond: Sequence[Staged]) -> bool:
    waits = any(stage.step.waits or stage.step.wait_min for _, stage in beyond)
    return not waits and sum(stage.minutes for _, stage in beyond) <= PACKING_MIN


def _short(found: Sequence[Staged], beyond: Sequence[Staged], needed: float) -> dict[str, object]:
    last, before = found[-1][1], sum(stage.minutes for _, stage in found[:-1])
    return {
        "step": str(last.step),
        "minutes": last.minutes,
        "needed": needed - before,
        "after": str(beyond[0][1].step),
        "room": sum(stage.minutes for _, stage in beyond),
    }
