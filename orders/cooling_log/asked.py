"""What of an item a reading of its own answers for: each cooling that breaks its rule, and a step at fault.

A record says by its ``steps_mark`` which of them it measured. A reading of the last cooling says nothing of one before:
what grew while that was too slow is still there, and some of its toxins survive heat (FDA, Bad Bug Book, 2nd edition,
chapters on Bacillus cereus and Staphylococcus aureus; from memory).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from catalog.cooling.time_used import USED_UP
from catalog.records.versions import version_mark
from orders.cooling_log.deadlines import Limits
from orders.cooling_log.models import CoolingRecord
from orders.quotes.cooling.selectors import Broken
from orders.quotes.cooling.stopping import step_at_fault


@dataclass(frozen=True, slots=True)
class Asked:
    """The limits by which one cooling, or the step at fault, is measured, and the mark of a record that did."""

    limits: Limits
    mark: str


def asked_of(one: Broken | None) -> tuple[Asked, ...]:
    """Return all that has to be measured of what breaks its rule, in the order of its steps; a step at fault last."""
    return () if one is None else tuple(_asked(one))


def _asked(one: Broken) -> Iterator[Asked]:
    missing = one.also or one.missing
    step = step_at_fault(missing)
    if not step or one.also is not None:
        yield Asked(Limits(one.rule, one.legs, one.limit_c, one.part), one.mark)
    for number, each in enumerate(one.later, 2):
        yield Asked(Limits(each.rule, each.legs, each.limit_c, each.part), version_mark([one.mark, "cooling", number]))
    if step and missing is not None:
        # What stands out of the cold has no heat to count from: it is still cold, or it is not.
        legs = () if missing.reason.code in USED_UP else one.legs
        yield Asked(Limits(one.rule, legs, one.limit_c, step), version_mark([one.mark, step]))


def rows_of_each(asked: Sequence[Asked], rows: Sequence[CoolingRecord]) -> list[list[CoolingRecord]]:
    """Return the records of each that is asked for, earliest first; all of them where there is one, or none.

    A record of other steps is of the cooling that it names; one that names none is of the first.
    """
    if len(asked) < 2:
        return [list(rows)]
    known = {one.limits.part: at for at, one in reversed(list(enumerate(asked)))}
    marks = {one.mark: at for at, one in enumerate(asked)}
    of = [(marks.get(row.steps_mark, known.get(row.step, 0)), row) for row in rows]
    return [_rows_at(at, of) for at in range(len(asked))]


def _rows_at(at: int, rows: Sequence[tuple[int, CoolingRecord]]) -> list[CoolingRecord]:
    """Return the records of one cooling; what was thrown away in another is gone for it too, until it is made anew."""
    found: list[CoolingRecord] = []
    for of, row in rows:
        if of == at or row.action == CoolingRecord.Action.DISCARDED:
            found.append(row)
        elif found and found[-1].part == 0 and found[-1].action == CoolingRecord.Action.DISCARDED:
            # Made anew: nothing of that is measured here yet.
            found.clear()
    return found
