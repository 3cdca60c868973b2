"""When readings of what breaks the cooling rule fall due by the plan of its table, and whether somebody is there."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from catalog.cooling.amounts import Units
from catalog.cooling.selectors import cold_times, cooled
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.time_used import USED_UP
from costing.chilling import due_times
from costing.contract import Book
from costing.requirements.compiled_book import compile_book
from costing.timing.chains import working_hours
from costing.timing.loads import LoadTimes
from costing.timing.spans import WorkingHours
from orders.inquiries.models import Inquiry
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.load_times import batch_loads, product_loads
from orders.quotes.cooling.measuring_content import Limits, earliest
from orders.quotes.cooling.planned import Wanted, is_staffed, plan_of_table, product_place, step_ends, step_place
from orders.quotes.cooling.selectors import NO_SOURCE, Broken, Item, RuledTable, table_units
from orders.quotes.cooling.stopping import step_at_fault


@dataclass(frozen=True, slots=True)
class ReadingDue:
    """A limit [°C], within how long after the heat it is read [min], and the moments for the first and last load.

    ``minutes`` is None where no time counts, only how warm it is after a step.

    ``moments`` are empty where nothing plans them; ``load`` numbers them of ``loads``. ``outside`` are those at which
    nobody works.
    """

    limit_c: float
    minutes: float | None
    moments: tuple[datetime, ...] = ()
    loads: int = 1
    outside: frozenset[datetime] = frozenset()


@dataclass(frozen=True, slots=True)
class ReadingTimes:
    """The readings of an item after a step; ``step`` is empty where nothing states how it cools."""

    step: str
    due: tuple[ReadingDue, ...]

    @property
    def outside(self) -> bool:
        """Whether one of them is due when nobody works."""
        return any(one.outside for one in self.due)


def reading_times(found: RuledTable, inquiry: Inquiry, at: datetime) -> Mapping[Item, tuple[ReadingTimes, ...]]:
    """Return when readings of what breaks the rule fall due, by item; two queries where something does.

    The moments are those of the plan as late as the window allows: the plan of the week may have it made earlier.
    """
    book = found.book
    if book is None or not found.broken:
        return {}
    units, hours = table_units(found.quote), working_hours(book)
    planned = None
    if hours is not None:
        wanted = Wanted(
            units=units,
            customer_kind=inquiry.customer.kind,
            start=inquiry.window_start,
            end=inquiry.window_end,
            travel_minutes=inquiry.travel_minutes,
            pickup=inquiry.hand_over == Inquiry.HandOver.PICKUP,
        )
        planned = plan_of_table(wanted, book, hours, at, cold_times(units, book))
    ends = {} if planned is None or hours is None else dict(step_ends(*planned, hours))
    by_item = _Times(units, book, hours, ends)
    return {one.item: tuple(by_item.of(one)) for one in found.broken}


@dataclass(frozen=True, slots=True)
class _Times:
    units: Units
    book: Book
    hours: WorkingHours | None
    ends: Mapping[tuple[str, int], datetime]

    def of(self, one: Broken) -> Iterator[ReadingTimes]:
        """Yield the readings of an item; of what nobody stated how it cools those of the rule, without moments."""
        if step := step_at_fault(one.missing):
            yield self._of_step(one, step)
            return
        cycles = list(self._product(one.code) if one.item.kind == "product" else self._batch(one.code))
        for cycle, ends, loads in cycles:
            above = due_times(cycle.plan.rule.legs, hot_before_min=cycle.plan.hot_before_min)
            limits = [limit for limit in above if cycle.plan.case.hottest_c > limit[0]]
            if limits:
                yield ReadingTimes(str(cycle.after), tuple(self._due(*limit, ends, loads) for limit in limits))
        # What lacks a source has no heat to count from.
        if not cycles and one.legs and one.why != NO_SOURCE:
            yield ReadingTimes("", tuple(ReadingDue(*limit) for limit in due_times(one.legs)))
        if step := step_at_fault(one.also):
            yield self._of_step(replace(one, why=one.also.reason.code if one.also else ""), step)

    @staticmethod
    def _of_step(one: Broken, step: str) -> ReadingTimes:
        """Return the readings after the step at fault; what stands out of the cold has no heat to count from."""
        limits = [(one.limit_c, None)] if one.why in USED_UP else list(due_times(one.legs))
        return ReadingTimes(step, tuple(ReadingDue(*limit) for limit in limits))

    def _product(self, code: str) -> Iterator[tuple[CoolingCycle, datetime | None, LoadTimes]]:
        compiled = compile_book(self.book)
        for one in cooled([code], self.book).values():
            made = compiled.line_demand(compiled.product_at[code], self.units[code])
            for cycle in one.cycles:
                loads = product_loads(cycle.after, made, one.product.load, self.book)
                yield cycle, self.ends.get(product_place(cycle)), loads

    def _batch(self, code: str) -> Iterator[tuple[CoolingCycle, datetime | None, LoadTimes]]:
        for batch in hot_batches(self.units, self.book):
            for each in batch.times if batch.recipe.code == code else ():
                loads = batch_loads(each.cycle.after, batch.batches.count, batch.batches.each_kg, self.book)
                yield each.cycle, self.ends.get(step_place(each, batch)), loads

    def _due(self, limit_c: float, minutes: float, ends: datetime | None, loads: LoadTimes) -> ReadingDue:
        if ends is None:
            return ReadingDue(limit_c, minutes)
        apart = loads.count > 1 and loads.every_min is not None
        leaves = [loads.leaves(number) for number in ((1, loads.count) if apart else (1,))]
        moments = tuple(ends + timedelta(minutes=left + minutes) for left in leaves)
        outside = frozenset(one for one in moments if not is_staffed(one, self.hours))
        return ReadingDue(limit_c, minutes, moments, loads.count if apart else 1, outside)


def limits_read(found: RuledTable) -> Mapping[Item, Limits]:
    """Return the limits by which each item that breaks its rule is read; none where it has no heat to count from."""
    units = table_units(found.quote) if found.broken else {}
    times = None if found.book is None else _Times(units, found.book, None, {})
    return {one.item: earliest(_read(times, one)) for one in found.broken}


def _read(times: _Times | None, one: Broken) -> Iterator[tuple[float, float]]:
    for each in () if times is None else times.of(one):
        yield from ((due.limit_c, due.minutes) for due in each.due if due.minutes is not None)
