"""The work the orders of some days take, step by step: what hands prepare, what goes into the oven, what chills."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from costing.contract import Product, Recipe, Station, Step
from costing.contract.steps import COLD
from costing.timing.steps import hands_minutes
from orders.production.demand import Demand


@dataclass(frozen=True)
class Task:
    """A step of work on a recipe or a product, with the minutes of hands it takes.

    ``place`` is that of the step among those of the recipe or product it is ``of``; ``station`` where it is done.
    ``made`` is how much: grams of a recipe, pieces of a product; in so many batches or ``loads``.
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
    """List the steps of a recipe or product, made so many times; hands are counted by the kilogram or the piece."""
    for place, step in enumerate(of.steps):
        station = None if step.station is None else found.book.station(step.station)
        yield Task(of, place, made, step, station, hands_minutes(step, times, counted), times)


def to_prepare(steps: Iterable[Task]) -> list[Task]:
    """Keep what hands do, at the oven and the cold room too: all the minutes that are paid for."""
    return [task for task in steps if task.minutes > 0]


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
