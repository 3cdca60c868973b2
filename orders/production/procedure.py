"""What the kitchen's written procedure is made of: the foods it cools and holds, their steps, rule and times."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import BatchCold, batch_colds, usual_batch
from catalog.cooling.batches import used_warm
from catalog.cooling.cold_holding import holds_cold
from catalog.cooling.cycles import rule_of
from catalog.cooling.missing import Missing
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.selectors import Cooled, ProductCold, cold_times, cooled
from catalog.cooling.stages import CoolingCycle, is_cold
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from costing.chilling import Profile as Rule
from costing.contract import Book, Product, Recipe, Station, Step
from costing.contract.steps import HEATING


@dataclass(frozen=True, slots=True)
class ProcedureFood:
    """A food that is cooled or held cold, and then may be out of the cold.

    ``cycles`` are empty for what is held cold without cooling data; ``holding`` is its own text, ``missing`` what its
    cooling could not be worked out for. ``by`` names who does the step after which each cycle begins.
    """

    name: str
    cold: ProductCold
    cycles: tuple[CoolingCycle, ...] = ()
    holding: str = ""
    missing: Missing | None = None
    by: tuple[str, ...] = ()

    @property
    def covered(self) -> bool:
        """Whether it is cooled, or held cold by its steps or its text, also where no time out of the cold is stated."""
        return bool(self.cycles or self.cold.holds_c is not None or holds_cold(self.holding))


@dataclass(frozen=True, slots=True)
class ProcedureBatch:
    """A full batch of a recipe that is made hot, and who does the step after which each cooling begins."""

    cold: BatchCold
    by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class UsedWarm:
    """A recipe that is made hot and goes on warm after ``step``, at the latest after its longest hold."""

    name: str
    step: Step


@dataclass(frozen=True, slots=True)
class Stand:
    """A step in which something rests or waits out of the cold; ``station`` is None for the kitchen itself."""

    name: str
    step: Step
    station: Station | None


@dataclass(frozen=True, slots=True)
class Procedure:
    """What a kitchen's procedure covers, and the rule in force.

    ``batches`` are the recipes that are made hot, ``warm`` those that go on warm, ``stable`` those whose maker says
    that they are safe at room temperature. ``stands`` are rests, and holds that no step puts in the cold, before it
    gets warm or where it never does. ``others`` are the products without a word on how warm they leave a step or how
    they are held.
    """

    kitchen: Kitchen
    rule: Rule
    foods: tuple[ProcedureFood, ...]
    batches: tuple[ProcedureBatch, ...]
    warm: tuple[UsedWarm, ...]
    stable: tuple[str, ...]
    stands: tuple[Stand, ...]
    missing: tuple[tuple[str, Missing], ...]
    others: tuple[str, ...]


def procedure() -> Procedure:
    """Return what the procedure is made of: from the products that are sold and the recipes that are made.

    Raises
    ------
    CannotPrice
        When the catalog as a whole has an error.
    """
    book = book_current()
    sold = [product for product in book.products if product.active]
    made = [recipe for recipe in book.recipes if recipe.active]
    codes = [product.code for product in sold]
    found, cold = cooled(codes, book), cold_times(codes, book)
    every = {code: _food(one, cold.get(code, ProductCold()), book) for code, one in found.items()}
    foods = {code: one for code, one in every.items() if one.covered}
    things: list[Recipe | Product] = [*made, *(product for product in sold if product.code in foods)]
    return Procedure(
        kitchen=kitchen(),
        rule=rule_of(book.kitchen.described),
        foods=tuple(foods.values()),
        batches=tuple(_batches(made, book)),
        warm=tuple(UsedWarm(recipe.name, step) for recipe in made if (step := used_warm(recipe)) is not None),
        stable=tuple(recipe.name for recipe in made if recipe.shelf_stable and _heated(recipe)),
        stands=tuple(stand for thing in things for stand in _stands(thing, book)),
        missing=tuple(
            (one.product.name, one.missing)
            for code, one in found.items()
            if one.missing is not None and code not in foods
        ),
        others=tuple(one.product.name for code, one in found.items() if not one.asked and code not in foods),
    )


def _food(one: Cooled, cold: ProductCold, book: Book) -> ProcedureFood:
    by = tuple(_by(cycle.after, book) for cycle in one.cycles)
    return ProcedureFood(one.product.name, cold, one.cycles, one.product.holding.strip(), one.missing, by)


def _batches(made: list[Recipe], book: Book) -> Iterator[ProcedureBatch]:
    mixtures = RecipeMixtures(book)
    for cold in batch_colds(((recipe.code, usual_batch(recipe, mixtures)) for recipe in made), book):
        yield ProcedureBatch(cold, tuple(_by(each.cycle.after, book) for each in cold.times))


def _by(step: Step, book: Book) -> str:
    return "" if step.role is None else str(book.role(step.role))


def _heated(recipe: Recipe) -> bool:
    return any(step.kind in HEATING or step.leaves_c is not None for step in recipe.steps)


def _stands(thing: Recipe | Product, book: Book) -> Iterator[Stand]:
    """Yield where something rests or waits out of the cold; what cools after a warm step has its own line."""
    if isinstance(thing, Recipe) and (thing.shelf_stable or used_warm(thing) is not None):
        return
    for step in thing.steps:
        if step.leaves_c is not None:
            return
        station = None if step.station is None else book.station(step.station)
        if not is_cold(step, station) and (step.hold_max or (step.waits and (step.minutes or step.wait_min))):
            yield Stand(thing.name, step, station)
