"""The steps of the orders of some days: prepared by hand, in the oven, in the cold."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from costing.contract import Product, Recipe, Station, Step
from costing.contract.steps import COLD
from costing.timing.steps import hands_minutes
from orders.production.demand import Demand


@dataclass(frozen=True)
class Task:
    """A step of a recipe or a product for these orders, with its minutes of hands.

    ``place`` is the index of the step in the recipe or product ``of``; ``station`` is where it is done. ``made`` is the
    amount: grams of a recipe or pieces of a product; ``loads`` is the number of batches or loads.
    """

    of: Recipe | Product
    place: int
    made: Fraction
    step: Step
    station: Station | None
    minutes: Fraction
    loads: int

    @property
    def what(self) -> str:
        """Name of the recipe or product."""
        return self.of.name

    @property
    def load_numbers(self) -> range:
        """Return the numbers of the loads, for a sheet."""
        return range(1, min(self.loads, 60) + 1)


@dataclass(frozen=True)
class Made:
    """A product of these orders: units sold, units made, loads, and the mold."""

    code: str
    name: str
    units: int
    made: int
    loads: int
    mold: str


def products_made(found: Demand) -> list[Made]:
    """List the products of the orders."""
    products = [(found.book.product(code), line) for code, line in found.lines]
    return [Made(item.code, item.name, line.units, line.made, line.loads, item.mold or "") for item, line in products]


def tasks(found: Demand) -> list[Task]:
    """List every step of these orders in the order of the work: components first, then products."""
    return [*_recipe_tasks(found), *_product_tasks(found)]


def _recipe_tasks(found: Demand) -> Iterable[Task]:
    batches = found.workings.demand[0]
    for at in sorted(batches, reverse=True):
        batch = batches[at]
        yield from _tasks(found, found.compiled.recipes[at], batch.grams, batch.batches, batch.grams / 1000)


def _product_tasks(found: Demand) -> Iterable[Task]:
    lines = dict(found.lines)
    for product in found.book.products:
        if product.code in lines:
            line = lines[product.code]
            made = Fraction(line.made)
            yield from _tasks(found, product, made, line.loads, made)


def _tasks(found: Demand, of: Recipe | Product, made: Fraction, times: int, counted: Fraction) -> Iterable[Task]:
    """List the steps of a recipe or product for a number of batches or loads; ``counted`` is kilograms or pieces."""
    for place, step in enumerate(of.steps):
        station = None if step.station is None else found.book.station(step.station)
        yield Task(of, place, made, step, station, hands_minutes(step, times, counted), times)


def to_prepare(steps: Iterable[Task]) -> list[Task]:
    """Select the tasks with minutes of hands, at the oven and in the cold too: all minutes that are paid."""
    return [task for task in steps if task.minutes > 0]


def in_oven(steps: Iterable[Task]) -> list[Task]:
    """Select the tasks in an oven."""
    return [task for task in steps if task.step.kind == "bake" or _is_at(task, "oven")]


def _is_at(task: Task, *kinds: str) -> bool:
    return task.station is not None and task.station.kind in kinds


def in_cold(steps: Iterable[Task]) -> list[Task]:
    """Select the tasks that chill or freeze."""
    return [task for task in steps if task.step.kind in COLD or _is_at(task, "refrigerator", "freezer")]


def components_in_cold(steps: Iterable[Task]) -> list[Task]:
    """Select the tasks of components that chill or freeze."""
    return [task for task in in_cold(steps) if isinstance(task.of, Recipe)]
