"""Cooling of products, their time limits out of the cold, and the timing of an order with them."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil, inf

from catalog.book.known import KnownByBook
from catalog.cooling.batches import unsourced_missing
from catalog.cooling.cold_holding import holds_cold
from catalog.cooling.cold_keeping import asks_for_cold, is_chilled, is_filled_cold, keeping_stated
from catalog.cooling.cycles import cycles_of, is_cooked, rule_of, warmed_missing
from catalog.cooling.longest_holds import product_held
from catalog.cooling.maybe_hot import product_heat_question
from catalog.cooling.missing import Missing, NotWorkedOut
from catalog.cooling.mixtures import MOST_UNKNOWN, RecipeMixtures
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.time_used import AtOnce, Codes, less_used, made_at_once, time_counted, used_up
from catalog.cooling.warm_products import is_hot_made, warm_starts
from catalog.kitchen.selectors import kitchen
from catalog.products.models import Product as ProductRow
from catalog.records.reasons import Reason
from costing.chilling import (
    COLD_C,
    Freezing,
    Leg,
    MixtureError,
    TimeOutLimit,
    Trial,
    Verdict,
    is_unmet,
    may_never,
    stated_time_out,
    time_out_limit,
    trial,
)
from costing.chilling import Profile as Rule
from costing.contract import Book, Product, Profile

#: The way of carrying that keeps a product cold longest.
BOXED = "insulated"


@dataclass(frozen=True, slots=True)
class Cooled:
    """A product with its cooling cycles, or with what is missing to work them out."""

    product: Product
    cycles: tuple[CoolingCycle, ...] = ()
    missing: Missing | None = None

    @property
    def asked(self) -> bool:
        """Whether cooling applies: some step states a leaving temperature."""
        return bool(self.cycles) or self.missing is not None


@dataclass(frozen=True, slots=True)
class ColdTime:
    """The required time of a cold stage: as stated, and at the slow end of the estimate.

    ``step`` is the index of the step among the product's. ``slow`` is None when the food may never get cold there, or
    freezes first (``freezing``). Minutes are those of the step; ``limit_c`` is the temperature at which it counts as
    cold, ``place`` and ``air_c`` describe its station. ``verdict`` is one of ``costing.chilling.Verdict``, by the rule
    named ``rule`` with its ``legs``; ``freezes_in`` is the step that freezes its rim.
    """

    step: int
    name: str
    stated: int
    slow: int | None
    limit_c: float
    place: str
    air_c: float
    verdict: Verdict
    rule: str
    freezing: Freezing | None = None
    freezes_in: str = ""
    legs: tuple[Leg, ...] = ()

    @property
    def never(self) -> bool:
        """Whether it may never get cold there: ``may_never``. What cools in a mold is never thicker than measured."""
        return may_never(self.slow, self.freezing)


def first_broken(times: Iterable[ColdTime]) -> ColdTime | None:
    """Return the first cold stage that breaks its rule, cannot be judged or may never get cold; None without one."""
    return next((time for time in times if time.never or is_unmet(time.verdict, timed=bool(time.legs))), None)


@dataclass(frozen=True, slots=True)
class HotTime:
    """How long cooked food takes to get cold from where its cooling begins, by the rule named ``rule``."""

    rule: str
    trial: Trial


@dataclass(frozen=True, slots=True)
class ProductCold:
    """A product's cold stages, its longest time out of the cold, and why either could not be worked out.

    ``out`` is None where it may be out without end; ``boxed`` is the same for it in an insulated box. What its holding
    text says is held cold has the time that the rule or the house states, without an estimate. ``holds_c`` is the
    warmest it is held at where cooling could not be worked out and its own text does not say; ``assumed`` when it is
    held so because nothing says how it is kept, its steps or those of a part chill it, and it holds what asks for the
    cold.
    ``odd_height`` is the remark where the height entered is not that of the amounts. ``hot`` are its coolings of cooked
    food.
    """

    times: tuple[ColdTime, ...] = ()
    out: TimeOutLimit | None = None
    missing: Missing | None = None
    boxed: TimeOutLimit | None = None
    holds_c: float | None = None
    odd_height: Reason | None = None
    hot: tuple[HotTime, ...] = ()
    product_id: int = field(default=0, compare=False)
    assumed: bool = False


def cooled(codes: Iterable[str], book: Book) -> dict[str, Cooled]:
    """Compute the cooling cycles of products, by code; codes that are not in the Book are left out."""
    wanted = set(codes)
    mixtures = RecipeMixtures(book)
    return {product.code: _cooled(product, mixtures) for product in book.products if product.code in wanted}


def _cooled(product: Product, mixtures: RecipeMixtures) -> Cooled:
    if all(step.leaves_c is None for step in product.steps) and not warm_starts(product, mixtures).at:
        return Cooled(product)
    try:
        mixture = mixtures.portion(product.code)
        if mixture.unknown_share > MOST_UNKNOWN:
            return Cooled(product, missing=Missing(Reason("unknown_food", {"names": mixture.unknown}), "ingredients"))
        return Cooled(product, tuple(cycles_of(product, mixtures)))
    except NotWorkedOut as found:
        return Cooled(product, missing=found.missing)
    except MixtureError as error:
        return Cooled(product, missing=Missing(Reason("mixture", {"message": str(error)}), "product", product.code))


def rule_in_force(*, cooked: bool = True) -> Rule:
    """Return the kitchen's cooling rule from its own row, so that it is known where the Book is not; one query."""
    row = kitchen()
    return rule_of(Profile(food_safety=row.food_safety, room_c=Fraction(row.room_c)), cooked=cooked)


#: What is known of products, by code.
_KNOWN: KnownByBook[str, ProductCold] = KnownByBook()


def cold_times(codes: Codes, book: Book) -> dict[str, ProductCold]:
    """Return the cold stages and time limits of products, by code; computed once per Book object.

    With units, the time that the kitchen itself uses is that of so many.

    One query when there is something new to compute. Products that ask for no cooling are left out, unless their
    holding text says that they are held cold and a time out of the cold is stated.
    """
    known, wanted = _KNOWN.of(book), list(codes)
    new = [code for code in wanted if code not in known]
    if new:
        keys = dict(ProductRow.objects.filter(code__in=new).values_list("code", "pk"))
        # Two threads that need the same product both compute it, and find the same.
        known.update({code: _cold(one, book, keys.get(code, 0)) for code, one in cooled(new, book).items()})
    sizes = made_at_once(codes if isinstance(codes, Mapping) else wanted, book)
    found = {code: known[code] for code in wanted if code in known and known[code] != ProductCold()}
    return {code: _left(cold, code, sizes[code], book) for code, cold in found.items()}


def _left(cold: ProductCold, code: str, at_once: AtOnce, book: Book) -> ProductCold:
    """Return how a product is kept with what its own steps leave of its time out of the cold."""
    used = time_counted(book.product(code), at_once, book).minutes if cold.out is not None else 0.0
    return replace(cold, out=less_used(cold.out, used), boxed=less_used(cold.boxed, used)) if used else cold


def _cold(one: Cooled, book: Book, key: int) -> ProductCold:
    if not one.cycles:
        return _not_estimated(one, book, key)
    plan = one.cycles[-1].plan
    away_c = float(book.kitchen.described.away_c)
    out, boxed = (
        time_out_limit(plan.rule, plan.body, plan.food, carried, away_c, top=plan.top)
        for carried in (one.product.carried, BOXED)
    )
    remarks = (note for cycle in one.cycles for note in cycle.notes if note.code == "height_differs")
    tried = [(cycle, trial(cycle.plan)) for cycle in one.cycles]
    times, odd = tuple(_worst_of_each(_time(*each) for each in tried)), next(remarks, None)
    cooked = (each for each in tried if is_cooked(each[0].after, heated=each[0].heated))
    hot = tuple(HotTime(cycle.plan.rule.title, found) for cycle, found in cooked)
    return ProductCold(times, out, boxed=boxed, odd_height=odd, hot=hot, product_id=key)


def _worst_of_each(times: Iterable[ColdTime]) -> Iterator[ColdTime]:
    """Yield one of the cold times of each step: one that breaks its rule before the longest of the others."""
    found: dict[int, ColdTime] = {}
    for time in times:
        known = found.get(time.step)
        found[time.step] = time if known is None else max(known, time, key=_how_bad)
    yield from found.values()


def _how_bad(time: ColdTime) -> tuple[bool, float]:
    return first_broken([time]) is not None, inf if time.slow is None else float(time.slow)


#: The hot steps of products that nobody answered, by code.
_UNSAID: KnownByBook[str, Missing | None] = KnownByBook()


def products_unsaid(codes: Codes, book: Book) -> dict[str, Missing]:
    """Return what is not stated of products: how warm a hot step, or a component's, leaves; without a query.

    A product that is safe at room temperature, or is handed over within the hour, has nothing unanswered. What is
    ticked so without the source that it takes, and is not kept cold, has that unanswered; and so has what its own steps
    have out of the cold for longer than its limit, at the size of so many units where these are given.
    """
    known, mixtures = _UNSAID.of(book), RecipeMixtures(book)
    sizes = made_at_once(codes if isinstance(codes, Mapping) else list(codes), book)
    known.update({code: _unsaid(book.product(code), mixtures) for code in sizes if code not in known})
    found = {code: known[code] or used_up(book.product(code), at_once, book) for code, at_once in sizes.items()}
    return {code: missing for code, missing in found.items() if missing is not None}


def _unsaid(product: Product, mixtures: RecipeMixtures) -> Missing | None:
    warm = warm_starts(product, mixtures)
    asked = None if warm.unsaid is not None else product_heat_question(product, mixtures)
    found = warm.unsaid if asked is None else Missing(asked, "product", product.code)
    found = found or warmed_missing(product, mixtures)
    cools = bool(warm.at) or any(step.leaves_c is not None for step in product.steps)
    recipes = [mixtures.book.recipe(fill.recipe) for fill in product.fill]
    # A source answers what is hot only where all of it is ticked.
    leans = all(recipe.shelf_stable for recipe in recipes) if found else not (cools or holds_cold(product.holding))
    if leans:
        unsourced = (unsourced_missing(recipe, mixtures.book) for recipe in recipes)
        found = next((one for one in unsourced if one is not None), found)
    return found or _held(product, mixtures)


def _held(product: Product, mixtures: RecipeMixtures) -> Missing | None:
    one = _cooled(product, mixtures) if any(step.hold_max for step in product.steps[:-1]) else None
    return product_held(product, one.cycles, mixtures) if one is not None and one.cycles else None


def products_hot(codes: Iterable[str], book: Book) -> frozenset[str]:
    """Return the codes of the products in which something is hot while they are made; without a query."""
    mixtures, wanted = RecipeMixtures(book), set(codes)
    return frozenset(one.code for one in book.products if one.code in wanted and is_hot_made(one, mixtures))


def _not_estimated(one: Cooled, book: Book, key: int) -> ProductCold:
    """Return the time out of the cold of a product without figures, where it is kept cold.

    Its text says so; or its steps put it into the cold, and it cannot be worked out, or holds what asks for the cold.
    What is filled with something that comes out of the cold, and holds that too, has the same time.
    """
    profile, stated = book.kitchen.described, holds_cold(one.product.holding)
    chilled = is_chilled(one.product, book)
    cold = stated or (one.missing is not None and chilled)
    unsaid = not cold and not keeping_stated(one.product, book)
    comes_cold = chilled or (one.missing is None and is_filled_cold(one.product, book))
    assumed = unsaid and comes_cold and asks_for_cold(one.product, book)
    rule = rule_of(profile)
    cold_c = COLD_C if rule.cold_c is None else rule.cold_c
    out = stated_time_out(rule, float(profile.away_c))
    if not cold and (not assumed or out is None):
        return ProductCold(missing=one.missing, product_id=key)
    if assumed:
        return ProductCold(out=out, missing=one.missing, boxed=out, holds_c=cold_c, product_id=key, assumed=True)
    return ProductCold(out=out, missing=one.missing, boxed=out, holds_c=None if stated else cold_c, product_id=key)


def _time(cycle: CoolingCycle, found: Trial) -> ColdTime:
    last = cycle.stages[-1]
    whole = None if found.freezes else found.cold_slow
    slow = None if whole is None else max(0, ceil(whole - cycle.before_last - float(last.step.wait_min or 0)))
    return ColdTime(
        step=cycle.last_at,
        name=str(last.step),
        stated=ceil(last.step.minutes or Fraction(0)),
        slow=slow,
        limit_c=cycle.plan.cold_c,
        place=str(last.station),
        air_c=last.air_c,
        verdict=found.verdict,
        rule=cycle.plan.rule.title,
        freezing=found.freezes,
        freezes_in=str(cycle.stages[found.freezes.stage].step) if found.freezes else "",
        legs=cycle.plan.rule.legs,
    )
