"""When an order can be ready: its chains of work, each step in the cold as long as cooling makes it."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Final

from catalog.cooling.selectors import ProductCold
from costing.contract import Book, Estimate
from costing.timing.chains import CoolingTime, order_timing
from costing.timing.schedule import Timing
from costing.timing.spans import WorkingHours, minute_of

#: Work for an order far ahead is looked for in this time before it leaves; no chain of a kitchen takes longer.
BEFORE: Final = timedelta(days=14)


def timing_of(
    book: Book,
    found: Estimate,
    hours: WorkingHours,
    *,
    leaves: datetime,
    now: datetime,
    cold: Mapping[str, ProductCold],
) -> Timing:
    """Return the chains of an order that leaves about ``leaves``, not begun before ``now``.

    ``cold`` are its products' ``catalog.cooling.selectors.cold_times``: a cold stage lasts as long as stated or
    as cooling takes at the slow end of the estimate, whichever is longer. One that never gets cold, or freezes first,
    lasts as stated: to refuse it is for the caller. Stations count as free.
    """
    cooling = {
        (code, time.step): CoolingTime(time.slow, time.limit_c)
        for code, one in cold.items()
        for time in one.times
        if time.slow is not None
    }
    begins = max(now, leaves - BEFORE)
    return order_timing(book, found, hours, not_before=minute_of(begins), cooling=cooling)
