"""The timing of an order, with steps in the cold lengthened by cooling."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Final

from catalog.cooling.selectors import ProductCold
from costing.contract import Book, Estimate
from costing.timing.chains import CoolingTime, order_timing
from costing.timing.schedule import Timing
from costing.timing.spans import WorkingHours, minute_of

#: How long before departure the work of an order is searched for; longer than any chain of steps.
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
    """Return the timing of an order that leaves about ``leaves`` and is not begun before ``now``.

    ``cold`` are its products' ``catalog.cooling.selectors.cold_times``: a cold stage lasts as long as stated or
    as cooling takes at the slow end of the estimate, whichever is longer. A stage that never gets cold, or freezes
    first, lasts as stated; the caller refuses such an order. Stations count as free.
    """
    cooling = {
        (code, time.step): CoolingTime(time.slow, time.limit_c)
        for code, one in cold.items()
        for time in one.times
        if time.slow is not None
    }
    begins = max(now, leaves - BEFORE)
    return order_timing(book, found, hours, not_before=minute_of(begins), cooling=cooling)
