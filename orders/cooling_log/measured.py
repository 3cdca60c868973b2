"""What was measured of orders: their records by item, and what these say now, vessel by vessel."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import takewhile

from django.db.models import Q, TextField
from django.db.models.functions import Cast

from orders.cooling_log.models import EVERY, CoolingRecord
from orders.quotes.cooling.selectors import Item

#: Key of an order and item -> its records, and those of a batch that it shares with the order they were recorded for.
Records = Mapping[tuple[int, Item], Sequence[CoolingRecord]]


def records_of(orders: Iterable[int]) -> Records:
    """Return the records of some orders by order and item, the earliest first, in one query.

    A record of a batch that was made for several orders at once is of each of them, whatever became of the others.
    """
    keys = set(orders)
    rows = CoolingRecord.objects.alias(shared=Cast("common", TextField()))
    of_batches = Q(recipe__isnull=False, shared__regex=_holds_one_of(keys)) if keys else Q()
    found: dict[tuple[int, Item], list[CoolingRecord]] = defaultdict(list)
    for row in rows.filter(Q(order__in=keys) | of_batches).order_by("pk"):
        for pk in keys & {row.order_id, *row.common}:
            found[pk, record_item(row)].append(row)
    return dict(found)


def _holds_one_of(keys: Iterable[int]) -> str:
    """Return a pattern of stored lists of whole numbers that hold one of these; both databases read it."""
    return rf"(\[|\s)({'|'.join(str(key) for key in sorted(keys))})(,|\])"


def batches_apart(rows: Sequence[CoolingRecord]) -> list[list[CoolingRecord]]:
    """Return the records of an order's own batch and those of one for several orders, where there are any of them.

    Vessels are counted within a batch: number 3 of one says nothing of number 3 of the other.
    """
    groups = ([row for row in rows if bool(row.common) == common] for common in (False, True))
    return [group for group in groups if group]


def record_item(row: CoolingRecord) -> Item:
    """Return what a record is about."""
    return Item("product", row.product_id) if row.product_id else Item("recipe", row.recipe_id or 0)


@dataclass(frozen=True, slots=True)
class Standing:
    """What the records of an item say now: the one that counts, and which of its vessels are still open.

    ``discarded`` when what was in one of them was thrown away, and nothing was made anew. ``gone`` are the numbers of
    these, where they were measured one by one: they are out, and the others count for what is left.
    """

    record: CoolingRecord | None = None
    open_parts: tuple[int, ...] = ()
    parts: int = 1
    discarded: bool = False
    gone: tuple[int, ...] = ()


def standing(rows: Sequence[CoolingRecord], parts: int) -> Standing:
    """Return what the records of an item say, earliest first: a record of every vessel stands for those before it.

    It is of as many vessels as there were when it was recorded: what is made in more of them by now has some open.
    After vessels were measured one by one the worst of them counts: not kept, then not measured, then still cooling.
    What was discarded hides nothing: it counts only once every other vessel was measured to have kept the rule.
    """
    whole = max((at for at, row in enumerate(rows) if row.part == 0), default=-1)
    every, single = (rows[whole] if whole >= 0 else None), rows[whole + 1 :]
    covered = parts if every is None or every.parts == EVERY else every.parts
    if not single and covered >= parts:
        return Standing(every, (), parts, _is_discarded(every))
    count = max([parts, *(max(row.part, row.parts) for row in single)])
    latest = {row.part: row for row in single}
    covered = count if every is None or every.parts == EVERY else every.parts
    each = {number: latest.get(number, every if number <= covered else None) for number in range(1, count + 1)}
    gone = tuple(number for number, row in each.items() if _is_discarded(row))
    left = {number: row for number, row in each.items() if number not in gone}
    open_ = tuple(number for number, row in left.items() if row is None or row.outcome != CoolingRecord.Outcome.MET)
    counting = [left[number] for number in open_] or [each[number] for number in gone] or list(left.values())
    return Standing(min(counting, key=_badness), open_, count, bool(gone), gone)


@dataclass(frozen=True, slots=True)
class BatchStanding:
    """What the records of one batch say now, and these records, earliest first."""

    found: Standing
    rows: Sequence[CoolingRecord]

    @property
    def is_met(self) -> bool:
        """Whether all that is left of it was measured to have kept the rule."""
        return self.found.record is not None and self.found.record.outcome == CoolingRecord.Outcome.MET

    @property
    def latest(self) -> int:
        """Key of its latest record; 0 without one."""
        return self.rows[-1].pk if self.rows else 0


def counting(batches: Sequence[BatchStanding]) -> BatchStanding:
    """Return the batch that counts, of the kinds in which something was recorded; there is one at least.

    Both are open until all of one kept the rule. What was reheated in the other, or was found not to have kept it
    later, counts all the same: who got of it is not known.
    """
    met = [one for one in batches if one.is_met]
    if not met:
        return min(batches, key=lambda one: (_badness(one.found.record), -one.latest))
    whole = max(met, key=lambda one: one.latest)
    wrong = [one for one in batches if not one.is_met and _counts_still(one, whole.latest)]
    return wrong[0] if wrong else whole


def _counts_still(one: BatchStanding, since: int) -> bool:
    record = one.found.record
    if record is None or record.outcome != CoolingRecord.Outcome.NOT_MET:
        return False
    return record.action == CoolingRecord.Action.REHEATED or record.pk > since


def _is_discarded(row: CoolingRecord | None) -> bool:
    return row is not None and row.action == CoolingRecord.Action.DISCARDED


def _badness(row: CoolingRecord | None) -> int:
    outcome = CoolingRecord.Outcome
    return 1 if row is None else {outcome.NOT_MET: 0, outcome.COOLING: 2, outcome.MET: 3}[outcome(row.outcome)]


def began(rows: Sequence[CoolingRecord], part: int) -> datetime | None:
    """Return when cooling began that still goes on in a vessel, or in any (0): the earliest that was recorded.

    ``rows`` are all of a cooling, whoever recorded them for which order, the earliest first.
    """
    vessels = {part} if part else {0, *(row.part for row in rows)}
    cooling = (row for vessel in vessels for row in _still_cooling(rows, vessel))
    return min((row.started_at for row in cooling if row.started_at is not None), default=None)


def _still_cooling(rows: Sequence[CoolingRecord], part: int) -> Iterator[CoolingRecord]:
    """Return the records of a vessel since which it cools, the latest first."""
    of_vessel = (row for row in reversed(rows) if row.part in (0, part))
    return takewhile(lambda row: row.outcome == CoolingRecord.Outcome.COOLING, of_vessel)


def measured_last(rows: Sequence[CoolingRecord]) -> list[CoolingRecord]:
    """Return the records that count of a batch: of each vessel the latest, and the one that stands for all others."""
    latest: dict[int, CoolingRecord] = {}
    for row in rows:
        latest = {0: row} if row.part == 0 else latest | {row.part: row}
    return list(latest.values())


def going_on(rows: Sequence[CoolingRecord]) -> Iterator[CoolingRecord]:
    """Yield the latest record of each vessel that still cools by it, earliest first; one of every vessel (0) as one."""
    latest: dict[int, CoolingRecord] = {}
    for row in rows:
        latest = {0: row} if row.part == 0 else latest | {row.part: row}
    parted = [row for part, row in latest.items() if part]
    every = [] if parted and len(parted) >= max(row.parts for row in parted) else [latest.get(0)]
    cooling = CoolingRecord.Outcome.COOLING
    yield from (row for row in (*every, *parted) if row is not None and row.outcome == cooling)
