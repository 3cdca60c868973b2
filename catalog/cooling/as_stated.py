"""Stays in the cold that end before it is cold: what the steps state after them counts, not a longer stay."""

from collections.abc import Sequence
from dataclasses import replace

from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.stages import Made, Staged, is_cold_stage, stages_after
from catalog.records.reasons import Reason
from costing.chilling import Plan, lengthened
from costing.chilling.ranges import SLOW, at_point, times_to
from costing.contract import Book

#: Work after the last stay in the cold, such as packing, up to which that stay is taken to last until it is cold, as an
#: order's timing plans it [min]; own choice.
PACKING_MIN = 60.0


def as_stated(plan: Plan, made: Made, staged: list[Staged], book: Book) -> list[Staged]:
    """Return the stages to judge by: those that a stay in the cold ends, and more where it ends before it is cold.

    ``plan`` is what cools, with the stages ``staged``. At the slow end; what never gets cold there stays as it is.

    Raises
    ------
    NotWorkedOut
        When it then stands in the room, and no stay in the cold follows.
    """
    found = list(staged)
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
    return found


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
