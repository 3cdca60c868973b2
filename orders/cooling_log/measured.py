"""What was measured of orders: their records by item, and what these say now, vessel by vessel."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, takewhile

from orders.cooling_log.models import EVERY, CoolingRecord
from orders.quotes.cooling.selectors import Item

#: Key of an order and item -> its records.
Records = Mapping[tuple[int, Item], Sequence[CoolingRecord]]


def records_of(orders: Iterable[int]) -> Records:
    """Return the records of some orders by order and item, the earliest first, in one query."""
    rows = CoolingRecord.objects.filter(order__in=list(orders)).order_by("order_id", "product_id", "recipe_id", "pk")
    return {key: list(group) for key, group in groupby(rows, lambda row: (row.order_id, record_item(row)))}


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


def going_on(rows: Sequence[CoolingRecord]) -> Iterator[CoolingRecord]:
    """Yield the latest record of each vessel that still cools by it, earliest first; one of every vessel (0) as one."""
    latest: dict[int, CoolingRecord] = {}
    for row in rows:
        latest = {0: row} if row.part == 0 else latest | {row.part: row}
    parted = [row for part, row in latest.items() if part]
    every = [] if parted and len(parted) >= max(row.parts for row in parted) else [latest.get(0)]
    cooling = CoolingRecord.Outcome.COOLING
    yield from (row for row in (*every, *parted) if row is not None and row.outcome == cooling)
