"""Loads of several orders of a day, and whether somebody is there at a moment."""

from collections import defaultdict
from datetime import date, datetime

from catalog.kitchen.selectors import local_day
from costing.timing.spans import WorkingHours, minute_of
from orders.production.demand import Demand


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
