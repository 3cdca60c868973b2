"""What the kitchen's written procedure is made of: the foods it cools and holds, their steps, rule and times."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from catalog.book.selectors import book_current
from catalog.cooling.batch_parts import batch_fails, codes_within
from catalog.cooling.batch_reports import BatchCold, batch_colds, usual_batch
from catalog.cooling.batches import used_warm
from catalog.cooling.cold_holding import holds_cold
from catalog.cooling.cold_keeping import is_chilled
from catalog.cooling.cycles import rule_of
from catalog.cooling.missing import Missing
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.never_hot_claims import NeverHotClaim, never_hot_claims
from catalog.cooling.selectors import Cooled, ProductCold, cold_times, cooled, products_unsaid
from catalog.cooling.stages import CoolingCycle, is_cold
from catalog.cooling.time_used import USED_UP
from catalog.cooling.warm_parts import goes_on_warm
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.products.declarations import declarations_of
from catalog.recipes.perishables import all_room_safe, product_room_safe, room_safe
from costing.chilling import HOT_C
from costing.chilling import Profile as Rule
from costing.contract import Book, Product, Recipe, Station, Step
from orders.quotes.cooling.never_hot import unanswered_steps
from orders.quotes.cooling.perishables import unstated


@dataclass(frozen=True, slots=True)
class ProcedureFood:
    """A food that is cooled or held cold, and then may be out of the cold.

    ``cycles`` are empty for what is held cold without cooling data; ``holding`` is its own text, ``missing`` what its
    cooling could not be worked out for. ``by`` names who does the step after which each cycle begins. ``parts`` are the
    batches that go in, however deep, and do not keep the rule or cannot be judged.
    """

    name: str
    cold: ProductCold
    cycles: tuple[CoolingCycle, ...] = ()
    holding: str = ""
    missing: Missing | None = None
    by: tuple[str, ...] = ()
    chilled: bool = False
    parts: tuple["ProcedureBatch", ...] = ()

    @property
    def covered(self) -> bool:
        """Whether it is cooled, or held cold by its steps or its text, also where no time out of the cold is stated.

        That it is held cold because nothing says how covers it only where its own steps put it into the cold.
        """
        stated = self.cold.holds_c is not None and (self.chilled or not self.cold.assumed)
        return bool(self.cycles or stated or holds_cold(self.holding))


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
class RoomSafe:
    """A recipe or product that is safe at room temperature, and who says so and by what; empty where nobody has to."""

    name: str
    source: str


@dataclass(frozen=True, slots=True)
class Stand:
    """A step in which something rests or waits out of the cold; ``station`` is None for the kitchen itself."""

    name: str
    step: Step
    station: Station | None


@dataclass(frozen=True, slots=True)
class Unanswered:
    """A food of which something is not answered: a hot ``step`` that nothing cools, what it holds, or ``missing``.

    ``holds`` is what in it asks for the cold, where nobody said how it is kept; ``part`` a batch that goes in and does
    not keep the rule or cannot be judged, where the food has no row of its own.
    """

    name: str
    step: Step | None = None
    missing: Missing | None = None
    holds: tuple[str, ...] = ()
    part: ProcedureBatch | None = None


@dataclass(frozen=True, slots=True)
class MoldsShort:
    """A product of which one load takes more molds than the kitchen has: how many it takes, of which, and how many."""

    name: str
    count: int
    mold: str
    owned: int


@dataclass(frozen=True, slots=True)
class Procedure:
    """What a kitchen's procedure covers, and the rule in force.

    ``batches`` are the recipes that are made hot, ``warm`` those that go on warm, ``stable`` those whose maker says
    that they are safe at room temperature. ``stands`` are rests, and holds that no step puts in the cold, before it
    gets warm or where it never does. ``others`` are the products without a word on how warm they leave a step or how
    they are held. ``unanswered`` is what is not sold under it, ``molds_short`` neither; ``made_from`` are by code of a
    batch the names of the products that it goes into, however deep.
    """

    kitchen: Kitchen
    rule: Rule
    foods: tuple[ProcedureFood, ...]
    batches: tuple[ProcedureBatch, ...]
    warm: tuple[UsedWarm, ...]
    stable: tuple[RoomSafe, ...]
    stands: tuple[Stand, ...]
    unanswered: tuple[Unanswered, ...]
    others: tuple[str, ...]
    molds_short: tuple[MoldsShort, ...] = ()
    made_from: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    #: Recipes and steps that count as never hot by the owner's word: nothing judges their cooling.
    never_hot: tuple[NeverHotClaim, ...] = ()
    #: Steps of which nobody has answered whether anything heats them.
    steps_open: tuple[tuple[NeverHotClaim, str], ...] = ()


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
    batches = tuple(_batches(made, book))
    failing = {one.cold.recipe.code: one for one in batches if batch_fails(one.cold)}
    parts = {code: _parts(one.product, failing, book) for code, one in found.items()}
    every = {code: _food(one, cold.get(code, ProductCold()), parts[code], book) for code, one in found.items()}
    foods = {code: one for code, one in every.items() if one.covered}
    steps_open = tuple(unanswered_steps(codes, book))
    things: list[Recipe | Product] = [*made, *(product for product in sold if product.code in foods)]
    unanswered = list(_unanswered(found, foods, batches, book))
    apart = [code for code in found if code not in foods]
    unanswered += [Unanswered(found[code].product.name, part=part) for code in apart for part in parts[code]]
    open_names = {one.name for one in unanswered}
    safe = {code for code in found if code not in foods and product_room_safe(code, book)}
    return Procedure(
        kitchen=kitchen(),
        rule=rule_of(book.kitchen.described),
        foods=tuple(foods.values()),
        batches=batches,
        warm=tuple(UsedWarm(recipe.name, step) for recipe in made if (step := used_warm(recipe, book)) is not None),
        stable=(*_stable(made, book), *(_stable_product(found[code].product, book) for code in sorted(safe))),
        stands=tuple(stand for thing in things for stand in _stands(thing, book)),
        unanswered=tuple(unanswered),
        others=tuple(
            one.product.name
            for code, one in found.items()
            if not one.asked and code not in foods and code not in safe and one.product.name not in open_names
        ),
        molds_short=tuple(_molds_short(sold, book)),
        made_from=_made_from(sold, failing, book),
        never_hot=tuple(one for one in never_hot_claims(codes, book) if one not in [claim for claim, _ in steps_open]),
        steps_open=steps_open,
    )


def _molds_short(sold: Iterable[Product], book: Book) -> Iterator[MoldsShort]:
    for product in sold:
        mold = None if product.mold is None else book.mold(product.mold)
        count = product.load or 1
        # A load of what is cut from a tray is as many pieces as it gives.
        if mold is not None and mold.shape != "tray" and count > mold.owned:
            yield MoldsShort(product.name, count, mold.name, mold.owned)


def _made_from(sold: Iterable[Product], batches: Iterable[str], book: Book) -> Mapping[str, tuple[str, ...]]:
    """Return by code of a batch the names of the products that it goes into."""
    within = [(product.name, set(codes_within(product, book))) for product in sold]
    return {code: tuple(name for name, codes in within if code in codes) for code in batches}


def _unanswered(
    found: Mapping[str, Cooled], foods: Mapping[str, ProcedureFood], batches: Iterable[ProcedureBatch], book: Book
) -> Iterator[Unanswered]:
    """Yield what is not answered: what is missing, hot steps that nothing cools, and perishables nobody keeps."""
    unsaid, contained = products_unsaid(list(found), book), declarations_of(book)
    for code, one in found.items():
        missing, name = _all_missing(one.missing, unsaid.get(code)), one.product.name
        yield from (Unanswered(name, missing=each) for each in missing)
        for step in () if missing else hot_steps_open(one.product, book):
            yield Unanswered(name, step=step)
        if not missing and not one.asked and code not in foods:
            held = unstated([code], {code: contained.of(code).allergens}, book)
            for each in held:
                yield Unanswered(name, holds=each.holds)
    for batch in batches:
        if batch.cold.missing is not None:
            yield Unanswered(batch.cold.recipe.name, missing=batch.cold.missing)


def _all_missing(own: Missing | None, unsaid: Missing | None) -> list[Missing]:
    """Return what is missing of a product: the first of both, and that its steps use up its time in any case."""
    if own is None or unsaid is None:
        return [each for each in (own, unsaid) if each is not None]
    return [own, unsaid] if unsaid.reason.code in USED_UP else [own]


def hot_steps_open(product: Product, book: Book) -> Iterator[Step]:
    """Yield the hot steps of a product of which nobody said how warm they leave, and how they get cold from there.

    What is safe at room temperature has nothing to answer, nor what the next stated temperature finds still hot.
    """
    taken = {code for step in product.steps for code in step.takes}
    within = [fill.recipe for fill in product.fill if fill.recipe not in taken]
    for at, step in enumerate(product.steps):
        within += step.takes
        stable = bool(within) and all_room_safe(within, book)
        if not step.heats or stable or goes_on_warm(product.steps, step):
            continue
        left = next((one.leaves_c for one in product.steps[at:] if one.leaves_c is not None), None)
        if left is None or float(left) < HOT_C:
            yield step


def _parts(product: Product, failing: Mapping[str, ProcedureBatch], book: Book) -> tuple[ProcedureBatch, ...]:
    return tuple(failing[code] for code in codes_within(product, book) if code in failing)


def _food(one: Cooled, cold: ProductCold, parts: tuple[ProcedureBatch, ...], book: Book) -> ProcedureFood:
    by = tuple(_by(cycle.after, book) for cycle in one.cycles)
    chilled = is_chilled(one.product, book)
    holding = one.product.holding.strip()
    return ProcedureFood(one.product.name, cold, one.cycles, holding, one.missing, by, chilled, parts)


def _batches(made: list[Recipe], book: Book) -> Iterator[ProcedureBatch]:
    mixtures = RecipeMixtures(book)
    for cold in batch_colds(((recipe.code, usual_batch(recipe, mixtures)) for recipe in made), book):
        yield ProcedureBatch(cold, tuple(_by(each.cycle.after, book) for each in cold.times))


def _by(step: Step, book: Book) -> str:
    return "" if step.role is None else str(book.role(step.role))


def _stable(made: Iterable[Recipe], book: Book) -> Iterator[RoomSafe]:
    """Yield what would be cooled and is safe at room temperature: what is made hot, and what a source is named for."""
    for recipe in made:
        source = recipe.shelf_stable_source.strip()
        if room_safe(recipe, book) and (source or _heated(recipe)):
            yield RoomSafe(recipe.name, source)


def _stable_product(product: Product, book: Book) -> RoomSafe:
    """Return a product that is filled with nothing but what is safe at room temperature, with all their sources."""
    sources = (book.recipe(fill.recipe).shelf_stable_source.strip() for fill in product.fill)
    return RoomSafe(product.name, "; ".join(dict.fromkeys(source.rstrip(".") for source in sources if source)))


def _heated(recipe: Recipe) -> bool:
    return any(step.heats or step.leaves_c is not None for step in recipe.steps)


def _stands(thing: Recipe | Product, book: Book) -> Iterator[Stand]:
    """Yield where something rests or waits out of the cold; what cools after a warm step has its own line."""
    if isinstance(thing, Recipe) and (room_safe(thing, book) or used_warm(thing, book) is not None):
        return
    for step in thing.steps:
        if step.leaves_c is not None:
            return
        station = None if step.station is None else book.station(step.station)
        if not is_cold(step, station) and (step.hold_max or (step.waits and (step.minutes or step.wait_min))):
            yield Stand(thing.name, step, station)
