"""How many of each vessel the batches of some days take at once, over all recipes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from costing.contract import Book
from orders.production.batches import BatchRow

#: When a vessel is taken and when it is free again; None where it is not known, and it counts as taken all the time.
Taken = tuple[datetime | None, datetime | None, int]


@dataclass(frozen=True, slots=True)
class VesselsNeeded:
    """A vessel: how many of it stand full at the same time at most, and how many there are; None where not entered."""

    name: str
    at_once: int
    owned: int | None

    @property
    def short(self) -> bool:
        """Whether the kitchen has fewer, as far as is known."""
        return self.owned is not None and self.at_once > self.owned


def vessels_at_once(rows: Iterable[BatchRow], book: Book) -> list[VesselsNeeded]:
    """Return what the batches take of each vessel, by name: from when they leave the heat until they are cold.

    They count until the slow end, and as long as nothing is planned or nothing is known of it, all the time.
    """
    taken: dict[str, list[Taken]] = defaultdict(list)
    for row in rows:
        for times, leaves in row.times:
            fill, name = times.cycle.plan.fill, times.cycle.after.vessel
            if fill is not None and name is not None:
                slow = times.trial.cold_slow
                free = None if leaves is None or slow is None else leaves + timedelta(minutes=slow)
                taken[name].append((leaves, free, fill.count * row.count))
    return [VesselsNeeded(name, _most(each), book.vessel(name).owned) for name, each in sorted(taken.items())]


def _most(taken: Sequence[Taken]) -> int:
    """Return the largest number that is taken at one moment: at the beginning of one of them."""
    begins: list[datetime | None] = [leaves for leaves, _, _ in taken if leaves is not None]
    return max(
        sum(count for leaves, free, count in taken if _holds(leaves, free, moment)) for moment in begins or [None]
    )


def _holds(leaves: datetime | None, free: datetime | None, moment: datetime | None) -> bool:
    if leaves is None or moment is None:
        return True
    return leaves <= moment and (free is None or moment < free)
