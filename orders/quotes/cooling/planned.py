"""The plan of a table as late as its window allows: of a draft and of an order, and when each step of it ends."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from catalog.cooling.amounts import Units
from catalog.cooling.batch_reports import BatchCold, BatchTimes
from catalog.cooling.planned import BEFORE, timing_of
from catalog.cooling.selectors import ProductCold
from catalog.cooling.stages import CoolingCycle
from costing.contract import Book, Brief, BriefLine, InputErrors
from costing.estimating.engine import estimate
from costing.timing.schedule import Answer, Timing
from costing.timing.spans import WorkingHours, minute_of, moment_of
from costing.timing.windows import check_window


@dataclass(frozen=True, slots=True)
class Wanted:
    """A table that is handed over within a window: its units, the customer's kind, the way [min], picked up or not."""

    units: Units
    customer_kind: str
    start: datetime
    end: datetime
    travel_minutes: int
    pickup: bool

    @property
    def leaves(self) -> datetime:
        """The latest departure: travel and set-up before the window begins."""
        return self.start - timedelta(minutes=self.travel_minutes)


def plan_of_table(
    wanted: Wanted,
    book: Book,
    hours: WorkingHours,
    at: datetime,
    cold: Mapping[str, ProductCold],
    larger: Mapping[str, Fraction] | None = None,
) -> tuple[Timing, Answer] | None:
    """Return the timing of a table, and its schedule as late as possible; None when it cannot be computed.

    It is the schedule for its departure at the start of the window, so that everything that is said of it counts from
    one departure; for a later one in the window only where it cannot be ready by then. ``larger`` are batches that are
    made in more than the table takes [g], by code of the recipe.
    """
    lines = tuple(BriefLine(code, units) for code, units in wanted.units.items())
    today, supplied = (moment.astimezone(hours.zone).date() for moment in (at, wanted.start))
    brief = Brief(date=today, lines=lines, supply_date=supplied, customer_kind=wanted.customer_kind or None)
    try:
        priced = estimate(book, brief, warn=False)
    except InputErrors:
        return None
    travel, leaves = wanted.travel_minutes, wanted.leaves
    timing = timing_of(book, priced, hours, leaves=leaves, now=leaves - BEFORE, cold=cold, larger=larger)
    window = minute_of(wanted.start), minute_of(wanted.end)
    at_its_start = check_window(timing, window[0], window[0], travel=travel)
    if not wanted.pickup and at_its_start.ok:
        return timing, at_its_start
    return timing, check_window(timing, *window, travel=travel, whole=wanted.pickup)


def step_ends(timing: Timing, answer: Answer, hours: WorkingHours) -> Iterator[tuple[tuple[str, int], datetime]]:
    """Yield the earliest end of each step of a recipe or product; nothing where the window cannot be met."""
    placed = answer.schedule if answer.ok else ()
    latest: dict[tuple[str, int], int] = {}
    for one in placed:
        kind, _, code = one.work.partition(":")
        if kind in ("recipe", "product"):
            at = next(at for at, step in enumerate(timing.works[one.work].steps) if step is one.step)
            place = (code if kind == "recipe" else one.work, at)
            latest[place] = min(one.end, latest.get(place, one.end))
    yield from ((step, moment_of(minute, hours.zone)) for step, minute in latest.items())


def step_place(each: BatchTimes, cold: BatchCold) -> tuple[str, int]:
    """Return the recipe's code and the index of the step after which a batch cools."""
    return cold.recipe.code, next(at for at, step in enumerate(cold.recipe.steps) if step is each.cycle.after)


def product_place(cycle: CoolingCycle) -> tuple[str, int]:
    """Return the place in a plan of the step after which a product cools."""
    return f"product:{cycle.of.code}", next(at for at, step in enumerate(cycle.of.steps) if step is cycle.after)


def is_staffed(moment: datetime, hours: WorkingHours | None) -> bool:
    """Return whether somebody works at a moment; where no hours are entered, nobody knows otherwise."""
    minute = minute_of(moment)
    return hours is None or minute in hours.between(minute, minute)
