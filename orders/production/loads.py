"""Loads of several orders of a day."""

from collections import defaultdict
from datetime import date

from catalog.kitchen.selectors import local_day
from orders.production.demand import Demand


def most_loads_of_a_day(found: Demand, code: str) -> int:
    """Return the loads of a product for the orders of that day of hand-over that takes most of it."""
    units: dict[date, int] = defaultdict(int)
    for order in found.orders:
        for line in order.lines.all():
            if line.product.code == code:
                units[local_day(order.window_start)] += line.units
    most = max(units.values(), default=0)
    return found.compiled.line_demand(found.compiled.product_at[code], most).loads
