"""The list for the cold room: each product's minimum time in the cold, and when it must be put in."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil, inf
from typing import Any

from catalog.cooling.amounts import batch_amounts
from catalog.cooling.keeping import held_cold
from catalog.cooling.selectors import ColdTime, ProductCold, cold_times, cooled
from catalog.cooling.stages import CoolingCycle, is_cold
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from costing.chilling import Trial
from costing.contract import Book, Product, Step
from costing.contract.steps import COLD
from costing.timing.chains import working_hours
from costing.timing.loads import LoadTimes
from costing.timing.spans import WorkingHours
from costing.timing.steps import clock_minutes
from orders.cooling_log.likely import likely_inside, likely_of_orders
from orders.cooling_log.making_days import Ends
from orders.cooling_log.plans import leaves_at
from orders.cooling_log.selectors import CoolingMark, Marks
from orders.cooling_log.sharing import AsMade, as_made
from orders.documents.agreed import content_agreed
from orders.orders.models import Order, OrderLine
from orders.production.demand import Demand
from orders.production.label_marks import batches_in
from orders.production.tasks import Task, in_cold
from orders.quotes.cooling.load_times import product_loads
from orders.quotes.cooling.planned import product_place
from orders.quotes.cooling.remarked import Minded
from orders.quotes.cooling.selectors import Item
from orders.quotes.cooling.untimed import slow_to_cool
from orders.quotes.draft.cooling import out_from
from orders.quotes.draft.holding_words import hold_words, holding_words


@dataclass(frozen=True, slots=True)
class Begun:
    """A cooling of a product: when the step before it ends as planned, if known, and when each load leaves that.

    ``hours`` are those in which somebody is there to measure, ``leaves`` is when its order does.
    """

    cycle: CoolingCycle
    ends: datetime | None
    loads: LoadTimes
    hours: WorkingHours | None = None
    leaves: datetime | None = None


@dataclass(frozen=True)
class MinimumChill:
    """A product's minimum time in the cold: the stated time or the cooling time, whichever is longer.

    ``until_c`` is the temperature the middle has to reach, when cooling at the slow end of the estimate takes longer
    than the steps state. ``check_c`` is the highest probe reading at which it may leave; None without cooling.
    ``never`` when it may never get that cold at its station. ``first`` is the place of the first of its cold steps.
    """

    least: Fraction = Fraction(0)
    first: int | None = None
    until_c: float | None = None
    check_c: float | None = None
    never: bool = False


@dataclass(frozen=True)
class ColdRow:
    """A product of one order: its minimum time in the cold, when it must be put in, what is measured.

    ``untimed`` is how it cools where the rule states no times and it takes longer than guidance asks for. ``coolings``
    are its coolings with when each begins, as planned, if known. ``in_by`` is the earlier of what the departure leaves
    time for and when what was hot goes in by its steps. ``planned_in`` is when it is there to be put in by the plan,
    where that is later than ``in_by``: then it has to be made earlier. ``cold`` says how it cools, ``held`` how it
    is kept where nothing else says it, as the customer reads it, ``batches`` are the marks of what goes into it and is
    not measured, ``likely`` what else goes into it and is to be measured. ``late`` are the names of what goes into it
    and is not cold before it leaves, as it is made for other orders too.
    ``in_plan`` is when the kitchen's plan has each load go in, ``sooner`` that one comes from the heat and goes in
    before that; ``unplanned`` that something of its order has no place there.
    """

    order: Order
    leaves: datetime
    name: str
    units: int
    chill: MinimumChill
    keeps_hours: Fraction | None
    in_by: datetime | None = None
    in_plan: tuple[datetime, ...] = ()
    sooner: bool = False
    mark: CoolingMark | None = None
    untimed: Trial | None = None
    coolings: tuple[Begun, ...] = ()
    planned_in: datetime | None = None
    cold: ProductCold | None = None
    held: str = ""
    batches: tuple[CoolingMark, ...] = ()
    late: tuple[str, ...] = ()
    unplanned: bool = False
    likely: tuple[Minded, ...] = ()

    @property
    def thrown(self) -> bool:
        """Whether all of it was discarded, or of a batch in it, and nothing was made anew: nothing goes in."""
        return any(mark.all_gone for mark in (self.mark, *self.batches) if mark is not None)

    @property
    def is_settled(self) -> bool:
        """Whether nothing beside its own cooling is open: else that it meets the rule is no good news."""
        return not (self.mark or self.batches or self.late or self.planned_in)

    @property
    def keeps_minutes(self) -> Fraction | None:
        """How long it keeps [min]."""
        return None if self.keeps_hours is None else self.keeps_hours * 60


def product_coolings(found: Demand, *, at: datetime) -> dict[tuple[int, str], tuple[Begun, ...]]:
    """Return by order and product the coolings of what is made, with when each begins as its order's plan has it."""
    cycles = {code: one.cycles for code, one in cooled(found.units, found.book).items() if one.cycles}
    planned = _planned(found, at) if cycles else AsMade()
    hours = working_hours(found.book)
    return {
        (order.pk, line.product.code): tuple(
            Begun(
                cycle,
                _ends(cycle, planned.of(order.pk)),
                _loads(order, line, cycle, found, planned),
                hours,
                leaves_at(order),
            )
            for cycle in cycles[line.product.code]
        )
        for order in found.orders
        for line in order.lines.all()
        if line.product.code in cycles
    }


def _planned(found: Demand, at: datetime) -> AsMade:
    """Return how the orders are made, with each batch at the size it is made in."""
    return as_made(found.orders, found.book, at=at, others=found.whole)


def _late(order: Order, line: OrderLine, planned: AsMade, book: Book) -> tuple[str, ...]:
    late = planned.late.get(order.pk, frozenset())
    taken = batch_amounts({line.product.code: line.units}, book) if late else ()
    return tuple(book.recipe(code).name for code, _ in taken if code in late)


def _ends(cycle: CoolingCycle, ends: Ends) -> datetime | None:
    return ends.get(product_place(cycle))


def _loads(order: Order, line: OrderLine, cycle: CoolingCycle, found: Demand, planned: AsMade) -> LoadTimes:
    placed = planned.plan.loads(order, *product_place(cycle))
    if placed is not None:
        return placed
    made = found.compiled.line_demand(found.compiled.product_at[line.product.code], line.units)
    return product_loads(cycle.after, made, found.book.product(line.product.code).load, found.book)


def cold_rows(found: Demand, steps: Iterable[Task], marks: Marks, *, at: datetime) -> list[ColdRow]:
    """List the products of each order with their minimum time in the cold, by departure."""
    cold, holds_at = cold_times(found.units, found.book), held_cold(found.units, found.book)
    chills, slow = _minimum_chills(steps, cold), slowest_untimed(cold)
    coolings, inside = product_coolings(found, at=at), batches_in(found.orders, marks, found.whole_book)
    home, likely = kitchen(), likely_of_orders(found.orders, marks, found.book, others=found.whole)
    planned = _planned(found, at) if any(chill.least for chill in chills.values()) else AsMade()
    rows = [
        ColdRow(
            order=order,
            leaves=leaves_at(order),
            name=line.name,
            units=line.units,
            chill=chills.get(line.product.code, MinimumChill()),
            **_goes_in(order, line, chills.get(line.product.code, MinimumChill()), found, planned),
            keeps_hours=None if line.product.keeps_hours is None else Fraction(line.product.keeps_hours),
            mark=marks.get(order.pk, {}).get(Item("product", line.product_id)),
            untimed=slow.get(line.product.code),
            coolings=coolings.get((order.pk, line.product.code), ()),
            cold=cold.get(line.product.code),
            held=_held_words(order, line, holds_at.get(line.product.code), cold.get(line.product.code), home),
            batches=inside.get((order.pk, line.product_id), ()),
            late=_late(order, line, planned, found.book),
            unplanned=planned.plan.waits(order),
            likely=likely_inside({order.pk: likely.get(order.pk, {})}).get(line.product.code, ()),
        )
        for order in found.orders
        for line in order.lines.all()
    ]
    return [_as_planned(row) for row in rows]


def _held_words(order: Order, line: OrderLine, hold_c: float | None, cold: ProductCold | None, home: Kitchen) -> str:
    """Write how something is kept of which nothing else says it: with its hours out of the cold, where it has any."""
    if hold_c is None:
        return ""
    if cold is not None and cold.out is not None:
        return holding_words(cold, out_from(order.event, home))
    sent = next((one for one in content_agreed(order.quote).lines if one.product == line.product.code), None)
    return hold_words(hold_c) if sent is None or sent.out_minutes is None else ""


def _goes_in(order: Order, line: OrderLine, chill: MinimumChill, found: Demand, planned: AsMade) -> dict[str, Any]:
    """Return when it goes into the cold by the plan; else what its departure leaves time for, and when it is ready."""
    work, first = f"product:{line.product.code}", chill.first
    batches = [one for one in planned.plan.of(order) if one.work == work]
    if batches and first is not None:
        return {"in_plan": tuple(sorted(one.steps[first][0] for one in batches))}
    return {
        "in_by": _in_by(order, line, chill, found.book),
        "planned_in": _ready(line, chill, planned.of(order.pk)),
    }


def _ready(line: OrderLine, chill: MinimumChill, ends: Ends) -> datetime | None:
    """Return when the step before the first one in the cold ends as planned; None where there is none."""
    return ends.get((f"product:{line.product.code}", chill.first - 1)) if chill.first else None


def _as_planned(row: ColdRow) -> ColdRow:
    """Return a row whose time into the cold does not contradict the plan.

    What comes from the heat goes in when its steps say so, as it was judged: not later, though the departure would
    leave time. What is not made by then as planned has to be made earlier: of several loads the last one counts.
    """
    if row.in_plan:
        return _load_by_load(row)
    if row.in_by is None:
        return row
    hot = list(_into_cold(row))
    planned = max(hot, default=row.planned_in)
    if planned is not None and planned > row.in_by:
        return replace(row, planned_in=planned)
    return replace(row, in_by=min((row.in_by, *hot)), planned_in=None)


def _load_by_load(row: ColdRow) -> ColdRow:
    """Return a row with when each load goes in: as planned, but what comes from the heat not after its steps say so.

    A plan may let it stand for as long as the kitchen lets anything stand; it was judged without that.
    """
    hot = sorted(_into_cold(row))
    goes_in = row.in_plan
    if len(hot) == len(goes_in):
        goes_in = tuple(map(min, goes_in, hot))
    return replace(row, in_by=max(goes_in), in_plan=goes_in, sooner=goes_in != row.in_plan)


def _into_cold(row: ColdRow) -> Iterator[datetime]:
    """Yield when the loads of a cooling that begins in the heat reach the first step in the cold, as planned."""
    for begun in row.coolings:
        cycle = begun.cycle
        for stage, minutes in zip(cycle.stages, cycle.begins, strict=True):
            first = row.chill.first is not None and stage.step is cycle.of.steps[row.chill.first]
            if begun.ends is not None and first:
                yield from (begun.ends + timedelta(minutes=minutes + leaves) for leaves in begun.loads.each())


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
            chills[task.of.code] = _longer(chills[task.of.code], task.place, task.step, times.get(key))
    return chills


def _longer(chill: MinimumChill, place: int, step: Step, time: ColdTime | None) -> MinimumChill:
    first = place if chill.first is None else chill.first
    minutes, wait = step.minutes or Fraction(0), step.wait_min or Fraction(0)
    if time is None:
        return replace(chill, least=chill.least + minutes + wait, first=first)
    slow = Fraction(time.slow or 0)
    cooling = slow > minutes
    return MinimumChill(
        least=chill.least + max(minutes, slow) + wait,
        until_c=time.limit_c if cooling else chill.until_c,
        check_c=time.limit_c,
        never=chill.never or time.never,
        first=first,
    )


def _in_by(order: Order, line: OrderLine, chill: MinimumChill, book: Book) -> datetime | None:
    """Return when it goes into the cold first at the latest: its cold stages, and the work between and after them."""
    if not chill.least or chill.first is None:
        return None
    product = book.product(line.product.code)
    made = ceil(line.units * (1 + product.spare))
    loads = 1 if product.load is None else ceil(Fraction(made) / product.load)
    rest = (step for step in product.steps[chill.first :] if not _is_cold(step, book))
    work = sum((clock_minutes(step, loads, Fraction(made)) for step in rest), Fraction(0))
    return leaves_at(order) - timedelta(minutes=float(chill.least + work))


def _is_cold(step: Step, book: Book) -> bool:
    """Return whether the minutes of a step count as time in the cold, as ``in_cold`` selects them."""
    station = None if step.station is None else book.station(step.station)
    stands = station is not None and station.kind in ("refrigerator", "freezer")
    return step.kind in COLD or stands or is_cold(step, station)
