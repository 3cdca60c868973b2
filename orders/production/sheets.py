"""What the kitchen's sheets say: recipes scaled, work to prepare, the oven, the cold room, hand-over."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Final

from catalog.cooling.selectors import ColdTime, ProductCold, cold_times
from catalog.kitchen.selectors import kitchen
from catalog.web.display.handy import handy_measure, weighed
from catalog.web.display.measures import measure_text
from costing.contract import Product, Recipe, Station, Step
from costing.contract.steps import COLD, WAITING
from costing.measures.measure import Measure
from costing.requirements.quantities import RecipeBatches
from costing.timing.steps import hands_minutes
from orders.documents.content import Line, QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.inquiries.travel import travel_minutes
from orders.orders.models import Order
from orders.production.demand import Demand

#: Waiting is no work to prepare; baking has a sheet of its own.
_NOT_PREPARED: Final = WAITING | {"bake"}


@dataclass(frozen=True)
class ScaledLine:
    """A line of a recipe: as written, and for one batch and for all."""

    name: str
    written: str
    batch: str
    grams: Fraction
    all_grams: Fraction


@dataclass(frozen=True)
class ScaledRecipe:
    """A recipe at the amount the orders take together."""

    name: str
    grams: Fraction
    batches: int
    lines: list[ScaledLine]
    goes_into: list[str]
    steps: tuple[Step, ...]


def scaled_recipes(found: Demand, *, pounds: bool) -> list[ScaledRecipe]:
    """Scale every recipe the orders need; a component stands before what uses it."""
    batches = found.workings.demand[0]
    return [_scaled(found, batches[at], pounds) for at in sorted(batches, reverse=True)]


def _scaled(found: Demand, batch: RecipeBatches[Fraction], pounds: bool) -> ScaledRecipe:
    recipe = found.compiled.recipes[batch.recipe]
    cup = found.book.kitchen.cup
    masses = [_grams(found, line.ingredient, line.part, line.amount) for line in recipe.lines]
    factor = batch.grams / (sum(masses, Fraction(0)) * (1 - recipe.loss))
    each = factor / batch.batches
    lines = [
        ScaledLine(
            name=_line_name(found, line.ingredient, line.part, line.recipe),
            written=measure_text(line.amount),
            batch=handy_measure(Measure(line.amount.amount * each, line.amount.unit), cup, mass * each, pounds=pounds),
            grams=mass * each,
            all_grams=mass * factor,
        )
        for line, mass in zip(recipe.lines, masses, strict=True)
    ]
    return ScaledRecipe(recipe.name, batch.grams, batch.batches, lines, _goes_into(found, recipe), recipe.steps)


def _grams(found: Demand, ingredient: str | None, part: str | None, amount: Measure) -> Fraction:
    cup = found.book.kitchen.cup
    return amount.grams(cup) if ingredient is None else found.book.ingredient(ingredient).amount_of(amount, cup, part)


def _line_name(found: Demand, ingredient: str | None, part: str | None, recipe: str | None) -> str:
    if ingredient is None:
        return found.book.recipe(recipe or "").name
    name = found.book.ingredient(ingredient).name
    return f"{name}, {part}" if part else name


def _goes_into(found: Demand, recipe: Recipe) -> list[str]:
    """Name what of these orders is made with the recipe directly."""
    products = [found.book.product(code) for code in found.units]
    users = [product.name for product in products if any(fill.recipe == recipe.code for fill in product.fill)]
    made = [found.compiled.recipes[at] for at in found.workings.demand[0]]
    users += [other.name for other in made if any(line.recipe == recipe.code for line in other.lines)]
    return users


@dataclass(frozen=True)
class Task:
    """A step of work on a recipe or a product, with the minutes of hands it takes.

    ``place`` is that of the step among those of the recipe or product it is ``of``; ``station`` where it is done.
    """

    of: Recipe | Product
    place: int
    amount: str
    step: Step
    station: Station | None
    minutes: Fraction
    loads: int

    @property
    def what(self) -> str:
        """What it is done to."""
        return self.of.name

    @property
    def load_numbers(self) -> range:
        """Number the loads, for a sheet to write beside."""
        return range(1, min(self.loads, 60) + 1)


@dataclass(frozen=True)
class Made:
    """A product of these orders: how many are sold, how many are made, in how many loads, and in which mold."""

    name: str
    units: int
    made: int
    loads: int
    mold: str


def products_made(found: Demand) -> list[Made]:
    """List the products of the orders."""
    products = [(found.book.product(code), line) for code, line in found.lines]
    return [Made(item.name, line.units, line.made, line.loads, item.mold or "") for item, line in products]


def tasks(found: Demand, *, pounds: bool) -> list[Task]:
    """List every step of these orders in the order of the work: components first, then products."""
    return [*_recipe_tasks(found, pounds), *_product_tasks(found)]


def _recipe_tasks(found: Demand, pounds: bool) -> Iterable[Task]:
    batches = found.workings.demand[0]
    for at in sorted(batches, reverse=True):
        batch = batches[at]
        amount = weighed(batch.grams, pounds=pounds)
        if batch.batches > 1:
            amount = f"{amount} in {batch.batches} batches"
        yield from _tasks(found, found.compiled.recipes[at], amount, batch.batches, batch.grams / 1000)


def _product_tasks(found: Demand) -> Iterable[Task]:
    lines = dict(found.lines)
    for product in found.book.products:
        if product.code in lines:
            line = lines[product.code]
            amount = f"{line.made}" if line.loads == 1 else f"{line.made} in {line.loads} loads"
            yield from _tasks(found, product, amount, line.loads, Fraction(line.made))


def _tasks(found: Demand, of: Recipe | Product, amount: str, times: int, made: Fraction) -> Iterable[Task]:
    """List the steps of a recipe or product, made so many times and so much of it."""
    for place, step in enumerate(of.steps):
        station = None if step.station is None else found.book.station(step.station)
        yield Task(of, place, amount, step, station, hands_minutes(step, times, made), times)


def to_prepare(steps: Iterable[Task]) -> list[Task]:
    """Keep what hands do: no waiting, no oven."""
    return [task for task in steps if task.step.kind not in _NOT_PREPARED and task.minutes > 0]


def in_oven(steps: Iterable[Task]) -> list[Task]:
    """Keep what goes into an oven."""
    return [task for task in steps if task.step.kind == "bake" or _is_at(task, "oven")]


def _is_at(task: Task, *kinds: str) -> bool:
    return task.station is not None and task.station.kind in kinds


def in_cold(steps: Iterable[Task]) -> list[Task]:
    """Keep what chills or freezes."""
    return [task for task in steps if task.step.kind in COLD or _is_at(task, "refrigerator", "freezer")]


def components_in_cold(steps: Iterable[Task]) -> list[Task]:
    """Keep the components that chill or freeze."""
    return [task for task in in_cold(steps) if isinstance(task.of, Recipe)]


@dataclass(frozen=True)
class Stay:
    """A product's least time in the cold, by the longer of its two clocks.

    ``until_c`` is where its middle has to be, when cooling at the slow end of the estimate takes longer than what the
    steps state. ``check_c`` is what a probe has to show before it leaves; None where the kitchen asks for no cooling.
    ``never`` when it does not get that cold where it stands.
    """

    least: Fraction = Fraction(0)
    until_c: float | None = None
    check_c: float | None = None
    never: bool = False


@dataclass(frozen=True)
class ColdRow:
    """A product of one order in the cold: how long at least, and when it must be in."""

    order: Order
    leaves: datetime
    name: str
    units: int
    stay: Stay
    in_by: datetime | None
    keeps_hours: Fraction | None


def cold_rows(found: Demand, steps: Iterable[Task]) -> list[ColdRow]:
    """List the products of each order with their least time in the cold, by the time they leave."""
    stays = _stays(steps, cold_times(found.units, found.book))
    return [
        ColdRow(
            order=order,
            leaves=leaves_at(order),
            name=line.name,
            units=line.units,
            stay=stays.get(line.product.code, Stay()),
            in_by=_in_by(order, stays.get(line.product.code, Stay()).least),
            keeps_hours=None if line.product.keeps_hours is None else Fraction(line.product.keeps_hours),
        )
        for order in found.orders
        for line in order.lines.all()
    ]


def probed_to(rows: Iterable[ColdRow]) -> float | None:
    """Return what a probe has to show before anything leaves: the coldest limit; None where nothing has one."""
    return min((row.stay.check_c for row in rows if row.stay.check_c is not None), default=None)


def _stays(steps: Iterable[Task], cold: Mapping[str, ProductCold]) -> dict[str, Stay]:
    """Add up each product's time in the cold: what a step states, or what cooling takes in it if that is longer."""
    times = {(code, time.step): time for code, one in cold.items() for time in one.times}
    own = [task for task in steps if isinstance(task.of, Product)]
    chilled = {(task.of.code, task.place) for task in in_cold(own)}
    stays: dict[str, Stay] = defaultdict(Stay)
    for task in own:
        key = (task.of.code, task.place)
        if key in chilled or key in times:
            stays[task.of.code] = _longer(stays[task.of.code], task.step, times.get(key))
    return stays


def _longer(stay: Stay, step: Step, time: ColdTime | None) -> Stay:
    minutes, wait = step.minutes or Fraction(0), step.wait_min or Fraction(0)
    if time is None:
        return replace(stay, least=stay.least + minutes + wait)
    slow = Fraction(time.slow or 0)
    cooling = slow > minutes
    return Stay(
        least=stay.least + max(minutes, slow) + wait,
        until_c=time.limit_c if cooling else stay.until_c,
        check_c=time.limit_c,
        never=stay.never or time.never,
    )


def leaves_at(order: Order) -> datetime:
    """Return when an order leaves the kitchen at the latest: the way and the set-up before its window begins."""
    return order.window_start - timedelta(minutes=travel_minutes(order.quote.inquiry))


def _in_by(order: Order, least: Fraction) -> datetime | None:
    return None if not least else leaves_at(order) - timedelta(minutes=float(least))


@dataclass(frozen=True)
class HandOver:
    """An order as the crew that brings it needs it. ``uncooled`` is when it leaves the cold; None when collected."""

    order: Order
    content: QuoteContent
    leaves: datetime
    uncooled: datetime | None
    crew: int
    minutes: Fraction | None

    @property
    def lines(self) -> list[tuple[Line, datetime | None]]:
        """Pair each line with until when it may be out of the cold; None where nothing limits that, or is known."""
        return [(line, self._until(line.out_minutes)) for line in self.content.lines]

    def _until(self, minutes: int | None) -> datetime | None:
        return None if minutes is None or self.uncooled is None else self.uncooled + timedelta(minutes=minutes)


def hand_overs(orders: Iterable[Order]) -> list[HandOver]:
    """Read what each order's hand-over needs, the kitchen once; the orders bring their quote and inquiry."""
    refrigerated = kitchen().vehicle_cold
    return [_hand_over(order, order.quote.inquiry, refrigerated) for order in orders]


def _hand_over(order: Order, inquiry: Inquiry, refrigerated: bool) -> HandOver:
    leaves, minutes = leaves_at(order), inquiry.minutes
    uncooled = None
    if inquiry.hand_over == Inquiry.HandOver.DELIVERY:
        uncooled = leaves + timedelta(minutes=float(minutes or 0)) if refrigerated else leaves
    return HandOver(
        order=order,
        content=content_read(order.quote.content),
        leaves=leaves,
        uncooled=uncooled,
        crew=inquiry.crew,
        minutes=None if minutes is None else Fraction(minutes),
    )
