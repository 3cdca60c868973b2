"""Problems of one step that no reading of another cooling answers: a second heating, or standing out of the cold.

A record says by its ``steps_mark`` what it measured: this very step, or how the rest cooled.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.cooling.time_used import USED_UP
from catalog.records.versions import version_mark
from orders.cooling_log.deadlines import Limits
from orders.cooling_log.models import CoolingRecord
from orders.quotes.cooling.selectors import Broken
from orders.quotes.cooling.stopping import step_at_fault


@dataclass(frozen=True, slots=True)
class OwnStep:
    """The limits by which the step at fault is measured, and the mark of a record that did.

    ``cooling`` is the mark of a record of how the rest cooled, where that breaks its rule too and is measured first.
    """

    limits: Limits
    mark: str
    cooling: str = ""

    def is_next(self, rows: Iterable[CoolingRecord]) -> bool:
        """Return whether this step is what is to be measured: nothing else is, or that was found to keep its rule."""
        met = CoolingRecord.Outcome.MET
        return not self.cooling or any(row.steps_mark == self.cooling and row.outcome == met for row in rows)


def own_step_of(one: Broken | None) -> OwnStep | None:
    """Return the step of what breaks the rule that only its own reading answers for; None where there is none."""
    missing = None if one is None else one.also or one.missing
    step = step_at_fault(missing)
    if one is None or missing is None or not step:
        return None
    # What stands out of the cold has no heat to count from: it is still cold, or it is not.
    legs = () if missing.reason.code in USED_UP else one.legs
    limits = Limits(one.rule, legs, one.limit_c, step)
    return OwnStep(limits, version_mark([one.mark, step]), "" if one.also is None else one.mark)
