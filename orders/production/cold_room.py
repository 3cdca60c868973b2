"""The list for the cold room: each product's minimum time in the cold, and when it must be put in."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from math import inf

from catalog.cooling.selectors import ColdTime, ProductCold, cold_times
from costing.chilling import Trial
from costing.contract import Product, Step
from orders.cooling_log.plans import leaves_at
from orders.cooling_log.selectors import CoolingMark, Marks
from orders.orders.models import Order
from orders.production.demand import Demand
from orders.production.tasks import Task, in_cold
from orders.quotes.cooling.selectors import Item
from orders.quotes.cooling.untimed import slow_to_cool


@dataclass(frozen=True)
class MinimumChill:
    """A product's minimum time in the cold: the stated time or the cooling time, whichever is longer.

    ``until_c`` is the temperature the middle has to reach, when cooling at the slow end of the estimate takes longer
    than the steps state. ``check_c`` is the highest probe reading at which it may leave; None without cooling.
    ``never`` when it may never get that cold at its station.
    """

    least: Fraction = Fraction(0)
    until_c: float | None = None
    check_c: float | None = None
    never: bool = False


@dataclass(frozen=True)
class ColdRow:
    """A product of one order: its minimum time in the cold, when it must be put in, what is measured.

    ``untimed`` is how it cools where the rule states no times and it takes longer than guidance asks for.
    """

    order: Order
    leaves: datetime
    name: str
    units: int
    chill: MinimumChill
    in_by: datetime | None
    keeps_hours: Fraction | None
    mark: CoolingMark | None = None
    untimed: Trial | None = None


def cold_rows(found: Demand, steps: Iterable[Task], marks: Marks) -> list[ColdRow]:
    """List the products of each order with their minimum time in the cold, by departure."""
    cold = cold_times(found.units, found.book)
    chills, slow = _minimum_chills(steps, cold), slowest_untimed(cold)
    return [
        ColdRow(
            order=order,
            leaves=leaves_at(order),
            name=line.name,
            units=line.units,
            chill=chills.get(line.product.code, MinimumChill()),
            in_by=_in_by(order, chills.get(line.product.code, MinimumChill()).least),
            keeps_hours=None if line.product.keeps_hours is None else Fraction(line.product.keeps_hours),
            mark=marks.get(order.pk, {}).get(Item("product", line.product_id)),
            untimed=slow.get(line.product.code),
        )
        for order in found.orders
        for line in order.lines.all()
    ]


def slowest_untimed(cold: Mapping[str, ProductCold]) -> dict[str, Trial]:
    """Return by code the products that cool slowly under a rule without times, each as its slowest cooling does."""
    slow = {code: [each.trial for each in slow_to_cool(one)] for code, one in cold.items()}
    return {code: max(each, key=_takes) for code, each in slow.items() if each}


def _takes(found: Trial) -> float:
    return inf if found.cold_slow is None else found.cold_slow


def probed_to(rows: Iterable[ColdRow]) -> float | None:
    """Return the probe reading required before anything leaves: the coldest limit; None without one."""
    return min((row.chill.check_c for row in rows if row.chill.check_c is not None), default=None)


def _minimum_chills(steps: Iterable[Task], cold: Mapping[str, ProductCold]) -> dict[str, MinimumChill]:
    """Sum each product's time in the cold: a step's stated time, or the cooling time if that is longer."""
    times = {(code, time.step): time for code, one in cold.items() for time in one.times}
    own = [task for task in steps if isinstance(task.of, Product)]
    chilled = {(task.of.code, task.place) for task in in_cold(own)}
    chills: dict[str, MinimumChill] = defaultdict(MinimumChill)
    for task in own:
        key = (task.of.code, task.place)
        if key in chilled or key in times:
            chills[task.of.code] = _longer(chills[task.of.code], task.step, times.get(key))
    return chills


def _longer(chill: MinimumChill, step: Step, time: ColdTime | None) -> MinimumChill:
    minutes, wait = step.minutes or Fraction(0), step.wait_min or Fraction(0)
    if time is None:
        return replace(chill, least=chill.least + minutes + wait)
    slow = Fraction(time.slow or 0)
    cooling = slow > minutes
    return MinimumChill(
        least=chill.least + max(minutes, slow) + wait,
        until_c=time.limit_c if cooling else chill.until_c,
        check_c=time.limit_c,
        never=chill.never or time.never,
    )


def _in_by(order: Order, least: Fraction) -> datetime | None:
    return None if not least else leaves_at(order) - timedelta(minutes=float(least))
