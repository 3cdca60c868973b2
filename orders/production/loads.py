"""When each load of what is hot leaves the step after which it cools, as the plan of its order has that step."""

from collections import defaultdict
from datetime import date, datetime
from fractions import Fraction
from typing import Final

from catalog.kitchen.selectors import local_day
from costing.contract import Book, Step
from costing.requirements.compiled_book import LineDemand
from costing.timing.chains import longest_span, working_hours
from costing.timing.loads import LoadTimes, load_times
from costing.timing.spans import WorkingHours, minute_of
from orders.production.demand import Demand

#: The longest span somebody works where no hours are entered [min]: then nothing is planned.
_DAY: Final = 24 * 60


def product_loads(step: Step, line: LineDemand, load: int | None, book: Book) -> LoadTimes:
    """Return when each load of a product leaves a step; ``load`` are the units of one."""
    made = Fraction(line.made)
    return _times(step, line.loads, made, made if load is None else Fraction(load), book)


def batch_loads(step: Step, count: int, each_kg: Fraction, book: Book) -> LoadTimes:
    """Return when each batch of a recipe leaves a step."""
    return _times(step, count, each_kg * count, each_kg, book)


def _times(step: Step, count: int, made: Fraction, load: Fraction, book: Book) -> LoadTimes:
    station = None if step.station is None else book.station(step.station)
    hours = working_hours(book)
    longest = _DAY if hours is None else longest_span(hours)
    in_oven = station is not None and station.kind == "oven"
    return load_times(step, count, made, load, longest=longest, in_oven=in_oven)


def is_staffed(moment: datetime, hours: WorkingHours | None) -> bool:
    """Return whether somebody works at a moment; where no hours are entered, nobody knows otherwise."""
    minute = minute_of(moment)
    return hours is None or minute in hours.between(minute, minute)


def most_loads_of_a_day(found: Demand, code: str) -> int:
    """Return the loads of a product for the orders of that day of hand-over that takes most of it."""
    units: dict[date, int] = defaultdict(int)
    for order in found.orders:
        for line in order.lines.all():
            if line.product.code == code:
                units[local_day(order.window_start)] += line.units
    most = max(units.values(), default=0)
    return found.compiled.line_demand(found.compiled.product_at[code], most).loads
