"""How long steps last in a plan where cooling makes them longer than stated: of an order's batches, loads and days."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil
from typing import Final

from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.cooling.selectors import ProductCold, cold_times
from costing.chilling import ICE_BATH, LONGEST_MIN, THICK_MOST, Trial
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
    larger: Mapping[str, Fraction] | None = None,
) -> Timing:
    """Return the timing of an order that leaves about ``leaves`` and is not begun before ``now``.

    ``cold`` are its products' ``catalog.cooling.selectors.cold_times``: a cold stage lasts as long as stated or
    as cooling takes at the slow end of the estimate, whichever is longer; that of a batch in its vessels too. A stage
    that may never get cold, or freezes first, lasts as stated: the caller refuses an order of such products, and says
    which batches are such (``batches_without_time``). Stations count as free. A batch that is made in a ``larger``
    amount than this order's own [g], by code of the recipe, takes as long as that does, where it is longer.
    """
    cooling = dict(_batches_cool(book, found, larger or {})) | {
        (code, time.step): CoolingTime(time.slow, time.limit_c)
        for code, one in cold.items()
        for time in one.times
        if time.slow is not None
    }
    begins = max(now, leaves - BEFORE)
    return order_timing(book, found, hours, not_before=minute_of(begins), cooling=cooling)


def batches_without_time(book: Book, found: Estimate) -> list[str]:
    """Return the names of batches of which no time can be planned: never cold, thicker than measured, or frozen first.

    An order's timing counts on their stated minutes; of what is thicker than measured on ``THICK_MOST`` times the
    likely ones, which is the longest that was measured, and no promise.
    """
    colds = batch_colds(((one.recipe, one.grams) for one in found.recipes), book)
    return [cold.recipe.name for cold in colds if any(_open(each.trial) for each in cold.times)]


def _open(found: Trial) -> bool:
    return found.cold_slow is None or found.freezes is not None


def _planned(found: Trial) -> float | None:
    """Return how long a batch counts in a plan [min]; None where it freezes first or may never get cold.

    Of what is thicker than was measured no slow end is known: the longest that such was ever measured counts, so that
    nothing is planned on its stated minutes alone.
    """
    if found.doubt is not None and found.freezes is None:
        return THICK_MOST * (LONGEST_MIN if found.cold_likely is None else found.cold_likely)
    return None if _open(found) else found.cold_slow


def _batches_cool(book: Book, found: Estimate, larger: Mapping[str, Fraction]) -> Mapping[tuple[str, int], CoolingTime]:
    """Return how long the last cold stage of each batch takes, by work and step, with the ice bath before it."""
    amounts = [(one.recipe, one.grams) for one in found.recipes]
    shared = [(code, larger[code]) for code, _ in amounts if code in larger]
    longest: dict[tuple[str, int], CoolingTime] = {}
    for cold in (*batch_colds(amounts, book), *batch_colds(shared, book)):
        for step, time in _last_stages(cold):
            place = f"recipe:{cold.recipe.code}", step
            longest[place] = max(longest.get(place, time), time, key=lambda one: one.minutes)
    return longest


def _last_stages(cold: BatchCold) -> Iterator[tuple[int, CoolingTime]]:
    for each in cold.times:
        cycle, slow = each.cycle, _planned(each.trial)
        if slow is not None and cycle.last is not cycle.after:
            before = sum(stage.minutes for stage in cycle.stages[:-1] if stage.air_movement != ICE_BATH)
            minutes = max(0, ceil(slow - before - float(cycle.last.wait_min or 0)))
            yield cycle.last_at, CoolingTime(minutes, cycle.plan.cold_c)


def batch_minutes(code: str, grams: int, book: Book) -> dict[int, CoolingTime]:
    """Return how long cooling makes the steps of one batch of a recipe, by place of the step; ``grams`` are made."""
    return {step: time for cold in batch_colds([(code, Fraction(grams))], book) for step, time in _last_stages(cold)}


def product_minutes(codes: Iterable[str], book: Book) -> dict[str, dict[int, CoolingTime]]:
    """Return by code of a product how long cooling makes its steps, by place of the step."""
    return {
        code: {time.step: CoolingTime(time.slow, time.limit_c) for time in one.times if time.slow is not None}
        for code, one in cold_times(codes, book).items()
    }
