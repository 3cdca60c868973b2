"""What the records of an item say of each of its coolings that breaks its rule, and which of these counts now."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from orders.cooling_log.asked import Asked, rows_of_each
from orders.cooling_log.deadlines import Limits, MissedLimit, first_missed
from orders.cooling_log.measured import BatchStanding, batches_apart, began, counting, going_on, measured_last, standing
from orders.cooling_log.models import CoolingRecord


@dataclass(frozen=True, slots=True)
class Missed:
    """A limit that a record misses although it says that it still cools."""

    record: CoolingRecord
    limit: MissedLimit


@dataclass(frozen=True, slots=True)
class CoolingNow:
    """One cooling, or all that is recorded of an item where nothing is asked for by name.

    ``outdated`` when it breaks its rule by other steps or another verdict than those it was measured by.
    """

    asked: Asked | None
    batch: BatchStanding
    outdated: bool = False
    missed: Missed | None = None

    @property
    def is_open(self) -> bool:
        """Whether nothing shows that all of it was cold in time by today's steps."""
        return self.outdated or self.missed is not None or not self.batch.is_met

    @property
    def rank(self) -> int:
        """Which of several coolings counts: missed, reheated or all thrown away, open, partly thrown away, met."""
        found = self.batch.found
        not_met = found.record is not None and found.record.outcome == CoolingRecord.Outcome.NOT_MET
        if self.missed is not None or (not_met and not found.gone):
            return 0
        if not self.is_open:
            return 3
        return 2 if not_met and not found.open_parts else 1


#: In how many vessels what was recorded stands.
Parts = Callable[[Sequence[CoolingRecord]], int]


def coolings_now(
    asked: Sequence[Asked], rows: Sequence[CoolingRecord], parts: Parts, limits: Callable[[], Limits], *, alone: bool
) -> list[CoolingNow]:
    """Return what the records say of each cooling that is asked for; of the item as a whole where none is.

    Parameters
    ----------
    asked : sequence of Asked
        The coolings.
    rows : sequence of CoolingRecord
        All records of the item, earliest first.
    parts : callable
        In how many vessels the batch of some records stands.
    limits : callable
        The limits of today where none is asked for.
    alone : bool
        Whether it breaks its rule in its own order's amount: a batch for several orders is not asked about again, as
        its verdict changes with each order that joins it.
    """
    found: list[CoolingNow] = []
    each: Sequence[Asked | None] = asked or (None,)
    for one, of in zip(each, rows_of_each(asked, rows), strict=True):
        groups = batches_apart(of) or [[]]
        batch = counting([BatchStanding(standing(group, parts(group)), group) for group in groups])
        by = limits if one is None else one.limits
        missed = next(filter(None, (_missed(group, by) for group in groups)), None)
        outdated = alone and one is not None and _is_outdated(batch.rows, one)
        found.append(CoolingNow(one, batch, outdated, missed))
    return found


def that_counts(each: Sequence[CoolingNow]) -> CoolingNow:
    """Return the cooling that counts of several: the first of the worst; where all kept the rule, the last."""
    worst = min(one.rank for one in each)
    of_worst = [one for one in each if one.rank == worst]
    return of_worst[0] if of_worst[0].is_open else of_worst[-1]


def names_open(each: Sequence[CoolingNow]) -> tuple[str, ...]:
    """Return the names of the coolings that are still open, where several are asked for."""
    return tuple(one.asked.limits.part for one in each if one.asked and one.is_open) if len(each) > 1 else ()


def _is_outdated(rows: Sequence[CoolingRecord], one: Asked) -> bool:
    known = [row for row in measured_last(rows) if row.steps_mark and not row.common and not row.action]
    return any(row.steps_mark != one.mark for row in known)


def _missed(rows: Sequence[CoolingRecord], limits: Limits | Callable[[], Limits]) -> Missed | None:
    """Return what was read of a vessel that cools by its records and misses a limit of today."""
    cooling = list(going_on(rows))
    if not cooling:
        return None
    by = limits if isinstance(limits, Limits) else limits()
    for row in cooling:
        started_at = began(rows, row.part)
        limit = None if started_at is None else first_missed(by, started_at, row.read)
        if limit is not None:
            return Missed(row, limit)
    return None
