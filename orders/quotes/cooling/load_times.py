"""When each load of what is hot leaves the step after which it cools, counted from when its plan has that step end."""

from fractions import Fraction
from typing import Final

from costing.contract import Book, Step
from costing.requirements.compiled_book import LineDemand
from costing.timing.chains import longest_span, working_hours
from costing.timing.loads import LoadTimes, load_times

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
