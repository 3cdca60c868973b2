"""Products and batches whose own steps use up their time out of the cold before anybody carries them anywhere.

A custard that is never hot has no cooling to judge, and a night on the rack is as long for it as for any other: the
minutes that the steps state out of the cold are added up, from where it is filled or was cold; a batch's from where it
was cold. What goes cold into a product brings along what its batch used since: cold in between gives no time back. What
is heated later begins anew with its cooling. The limit is the shortest that the rule or the house
states. Where neither does, that of the US Food Code (2022, 3-501.19(B): 4 h) is asked about as the house's own
question. All that is counted so is taken off the time that customers and the crew have.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from catalog.book.known import KnownByBook
from catalog.cooling.amounts import Units, batch_amounts
from catalog.cooling.batches import batches_of
from catalog.cooling.cold_holding import holds_hot
from catalog.cooling.cold_keeping import asks_for_cold
from catalog.cooling.cycles import product_load, rule_of
from catalog.cooling.hot_before import is_hot_at
from catalog.cooling.missing import Missing
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import is_cold, station_of
from catalog.cooling.warm_products import joins_of, warm_starts
from catalog.recipes.perishables import all_room_safe, parts_of, perishables, room_safe
from catalog.records.reasons import Reason
from costing.chilling import HOT_C, TimeOutLimit
from costing.contract import Book, Product, Recipe, Step
from costing.requirements.compiled_book import compile_book
from costing.timing.steps import clock_minutes

#: Products by code; with the units that a table takes of them, what is made at once is no more than these.
Codes = Iterable[str] | Units

#: Reasons: the limit is a rule's, the house's own, or nobody states one.
USED_UP: Final = frozenset({"time_out_used", "time_out_used_limit", "time_out_used_house"})
#: Asked about where neither a rule nor the house states a time [min].
HOUSE_MIN: Final = 240.0
_COLD_STATIONS: Final = frozenset({"refrigerator", "freezer"})


@dataclass(frozen=True, slots=True)
class TimeUsed:
    """How long the own steps of a product or batch have it out of the cold [min], and at which steps."""

    minutes: float = 0.0
    steps: tuple[str, ...] = ()

    def and_at(self, step: Step, minutes: float) -> "TimeUsed":
        """Return the same with some minutes more at a step."""
        return TimeUsed(self.minutes + minutes, (*self.steps, str(step))) if minutes else self


@dataclass(frozen=True, slots=True)
class AtOnce:
    """How much of a product is made at once [units], and the table of units by code that its batches are made for."""

    units: Fraction
    table: tuple[tuple[str, int], ...]


def a_load(product: Product) -> AtOnce:
    """Return a load of a product, with batches for that load alone."""
    load = product_load(product)
    return AtOnce(load, ((product.code, int(load)),))


def made_at_once(codes: Codes, book: Book) -> dict[str, AtOnce]:
    """Return how much of each product is made at once: a load, and no more than a table of units takes."""
    compiled = compile_book(book)
    places = {code: compiled.product_at[code] for code in codes if code in compiled.product_at}
    loads = {code: a_load(compiled.products[place]) for code, place in places.items()}
    if not isinstance(codes, Mapping):
        return loads
    made = {code: compiled.line_demand(place, codes[code]).made for code, place in places.items()}
    table = tuple(sorted(codes.items()))
    return {code: AtOnce(min(load.units, Fraction(made[code])), table) for code, load in loads.items()}


def time_used(product: Product, mixtures: RecipeMixtures, at_once: AtOnce | None = None) -> TimeUsed:
    """Add up the work, rests and waits out of the cold of what asks for it, since it was filled, cold or hot last.

    It begins with what the batches used that go in cold: of several the longest, or what is there by then if longer.
    From the heat to the cold its cooling is judged, and is not counted here. What a step only states to leave lukewarm
    was out of the cold all the same. A load is made at once where nothing says it.
    """
    at_once = a_load(product) if at_once is None else at_once
    book, joins, hot = mixtures.book, joins_of(product), set(warm_starts(product, mixtures).at)
    within: list[str] = []
    found, counts = TimeUsed(), False
    for at, step in enumerate(product.steps):
        within += joins.get(at, ())
        if at in hot or is_hot_at(step, HOT_C):
            found, counts = TimeUsed(), False
            continue
        brought = (_brought(code, at_once, book) for code in joins.get(at, ()))
        found = max((found, *brought), key=lambda one: one.minutes)
        if stands_cold(step, book):
            counts = True
        elif _asks(within, product, book):
            counts = counts or bool(joins.get(at)) or step.kind == "fill"
            found = found.and_at(step, _held(step, at_once.units)) if counts else found
    return found


def _brought(code: str, at_once: AtOnce, book: Book) -> TimeUsed:
    """Return what the batch of a component used since it was cold, at the size it is made in."""
    recipe = book.recipe(code)
    # Only what any batch of it uses needs the size of this one.
    if not batch_time_used(recipe, Fraction(1), book).minutes:
        return TimeUsed()
    grams = dict(batch_amounts(dict(at_once.table), book))[code]
    used = batch_time_counted(recipe, batches_of(recipe, grams, book).each_kg, book)
    return TimeUsed(used.minutes, tuple(f"{recipe.name}: {step}" for step in used.steps))


def batch_time_used(recipe: Recipe, kg: Fraction, book: Book) -> TimeUsed:
    """Add up the work, rests and waits out of the cold of a batch [kg] since it was cold, in an ice bath too.

    From the heat to the cold its cooling is judged, and is not counted here.
    """
    found, counts = TimeUsed(), False
    for step in recipe.steps:
        if is_hot_at(step, HOT_C):
            # Its wait is the stay in its ice bath.
            found, counts = TimeUsed(), step.ice_bath
        elif stands_cold(step, book) or (step.ice_bath and not counts):
            counts = True
        elif counts:
            found = found.and_at(step, _minutes(step, kg))
    return found


def _minutes(step: Step, amount: Fraction) -> float:
    return float(clock_minutes(step, 1, amount) + (step.wait_min or 0))


def _held(step: Step, amount: Fraction) -> float:
    """Return how long a product's step has it out of the cold at most [min], with the longest hold after it."""
    return float(clock_minutes(step, 1, amount) + max(step.wait_min or 0, step.hold_max or 0))


def stands_cold(step: Step, book: Book) -> bool:
    """Return whether a step is in the cold: a stay there, or work at a refrigerator or freezer."""
    station = station_of(step, book)
    return is_cold(step, station) or (station is not None and station.kind in _COLD_STATIONS)


def _asks(within: list[str], product: Product, book: Book) -> bool:
    """Return whether what is in it by now asks for the cold; a name that does counts once anything is in it."""
    if not within or all_room_safe(within, book):
        return False
    if perishables(parts_of(within, book)):
        return True
    every = [fill.recipe for fill in product.fill]
    return not perishables(parts_of(every, book)) and asks_for_cold(product, book)


def used_up(product: Product, at_once: AtOnce, book: Book) -> Missing | None:
    """Return that a product's own steps have it out of the cold for longer than the limit, or leave nothing of it."""
    return _over(product, time_counted(product, at_once, book), book)


def batch_used_up(recipe: Recipe, kg: Fraction, book: Book) -> Missing | None:
    """Return that a batch's own steps have it out of the cold for longer than the limit; None where they do not."""
    return _over(recipe, batch_time_counted(recipe, kg, book), book)


def batch_time_counted(recipe: Recipe, kg: Fraction, book: Book) -> TimeUsed:
    """Return the time out of the cold of a batch [kg]; none of what is safe at room temperature or asks for no cold."""
    found = batch_time_used(recipe, kg, book)
    if not found.minutes or room_safe(recipe, book) or not perishables(parts_of([recipe.code], book)):
        return TimeUsed()
    return found


def _over(made: Product | Recipe, found: TimeUsed, book: Book) -> Missing | None:
    rule, kind = rule_of(book.kitchen.described), "product" if isinstance(made, Product) else "recipe"
    stated = [clause for clause in rule.times_out if clause.warmest_c is None]
    clause = min(stated, key=lambda one: one.minutes, default=None)
    most = HOUSE_MIN if clause is None else float(clause.minutes)
    under = 1 if clause is not None and clause.under else 0
    # Whole minutes: of a limit that a rule states, one has to be left to whoever takes a product.
    nothing_left = kind == "product" and clause is not None and found.minutes > most - under - 1
    over = found.minutes > most - under or nothing_left
    if not over:
        return None
    facts = {kind: made.name, "minutes": found.minutes, "most": most, "steps": list(found.steps)}
    code = "time_out_used_house" if clause is None else "time_out_used"
    code = "time_out_used_limit" if clause is not None and clause.kind == "house" else code
    return Missing(Reason(code, facts), kind, made.code)


#: The time out of the cold of products, by code and how much is made at once.
_KNOWN: KnownByBook[tuple[str, AtOnce], TimeUsed] = KnownByBook(most=1_000)


def time_counted(product: Product, at_once: AtOnce, book: Book) -> TimeUsed:
    """Return the time out of the cold in the kitchen; none of what asks for no cold, or is held hot."""
    known, key = _KNOWN.of(book), (product.code, at_once)
    if key not in known:
        free = not asks_for_cold(product, book) or holds_hot(product.holding)
        known[key] = TimeUsed() if free else time_used(product, RecipeMixtures(book), at_once)
    return known[key]


def less_used(out: TimeOutLimit | None, minutes: float) -> TimeOutLimit | None:
    """Return a stated time out of the cold with what was spent of it [min] before anybody takes it."""
    return out if out is None or out.clause is None else replace(out, used=minutes)


def products_used_up(codes: Codes, book: Book) -> dict[str, float]:
    """Return how long steps have products out of the cold [min], by code, of those whose limit that uses up."""
    found = ((code, used_up(book.product(code), at_once, book)) for code, at_once in made_at_once(codes, book).items())
    return {code: missing.reason.params["minutes"] for code, missing in found if missing is not None}
