"""What is in a product at a step: the components taken so far, how warm, mixed or in two layers."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.mixtures import RecipeMixtures
from catalog.recipes.perishables import all_room_safe
from catalog.records.reasons import Reason
from costing.chilling import Food, Mixture, Part, food_of, mixed_start
from costing.contract import Book, Product, Step


@dataclass(frozen=True, slots=True)
class Top:
    """A layer that lies on what was there: its food, its share of the whole product's volume [1], how warm [°C]."""

    mixture: Mixture
    food: Food
    share: float
    initial_c: float


@dataclass(frozen=True, slots=True)
class Contents:
    """What cools after a step: the food below (or all of it), how warm [°C], and the layer on top.

    ``share`` is that of the whole product's volume [1], both layers together. ``notes`` say what nobody said,
    ``recipes`` are the codes of what is in it.
    """

    mixture: Mixture
    food: Food
    initial_c: float
    share: float
    top: Top | None = None
    notes: tuple[Reason, ...] = ()
    recipes: tuple[str, ...] = ()


def contents_at(product: Product, at: int, last: int, mixtures: RecipeMixtures) -> Contents:
    """Return what is in a product after a step, to cool until the step ``last``.

    Without a word about it everything is there from the start, which is the cautious way: more, and all of it hot.

    Raises
    ------
    NotWorkedOut
        When its steps say that nothing is in it yet.
    MixtureError
        When nothing of it has a composition, or a recipe loses more than its water.
    """
    step = product.steps[at]
    every = [fill.recipe for fill in product.fill]
    if not any(each.takes for each in product.steps):
        note = Reason("whole_from_start", {}) if len(every) > 1 else None
        return part_at(product, every, float(step.leaves_c or 0), mixtures, (note,) if note else ())
    later = {code for each in product.steps[at:] for code in each.takes}
    before = [code for code in every if code not in later]
    soon = [code for each in product.steps[at + 1 : last + 1] for code in each.takes]
    notes = (Reason("goes_in_while_cooling", {"names": _names(soon, mixtures)}),) if soon else ()
    added = [*step.takes, *soon]
    if not before and not added:
        raise NotWorkedOut("nothing_in_yet", "product", product.code, step=str(step), product=product.name)
    if step.takes_c is None or not before or not step.takes:
        return part_at(product, [*before, *added], float(step.leaves_c or 0), mixtures, notes)
    return _joined(product, step, before, added, mixtures, notes)


def room_safe_at(product: Product, at: int, book: Book) -> bool:
    """Return whether all that is in a product after a step, and goes in until it was in the cold, is room-safe."""
    steps = product.steps
    until = next((place for place in range(at + 1, len(steps)) if steps[place].leaves_c is not None), len(steps))
    later = {code for step in steps[until:] for code in step.takes}
    codes = [fill.recipe for fill in product.fill if fill.recipe not in later]
    return bool(codes) and all_room_safe(codes, book)


def _names(codes: Iterable[str], mixtures: RecipeMixtures) -> tuple[str, ...]:
    return tuple(mixtures.book.recipe(code).name for code in codes)


def part_at(
    product: Product, codes: list[str], initial_c: float, mixtures: RecipeMixtures, notes: tuple[Reason, ...] = ()
) -> Contents:
    """Return some components of a product as one body, all of it as warm."""
    found = mixtures.portion(product.code, codes)
    food = food_of(found.percent, found.air)
    share = _volume(found, food) / _whole_volume(product, mixtures)
    return Contents(found, food, initial_c, share, None, notes, tuple(codes))


def _joined(
    product: Product,
    step: Step,
    before: list[str],
    added: list[str],
    mixtures: RecipeMixtures,
    notes: tuple[Reason, ...],
) -> Contents:
    """Return what was there with what goes in beside it: as a layer on top, or stirred in.

    The stated temperature is measured at the end of the step, so what goes in cold never lowers it. What goes in hot
    raises it.
    """
    warm_c, cold_c = float(step.leaves_c or 0), float(step.takes_c or 0)
    below = part_at(product, before, warm_c, mixtures, notes)
    upper = part_at(product, added, cold_c, mixtures, ())
    if step.takes_as == "layer":
        top = Top(upper.mixture, upper.food, upper.share, cold_c)
        return replace(below, share=below.share + upper.share, top=top, recipes=(*before, *added))
    parts = [Part(each.mixture.grams / 1000, each.food, each.initial_c) for each in (below, upper)]
    return part_at(product, [*before, *added], max(warm_c, mixed_start(parts)), mixtures, notes)


def _volume(mixture: Mixture, food: Food) -> float:
    return mixture.grams / food.rho


def _whole_volume(product: Product, mixtures: RecipeMixtures) -> float:
    whole = mixtures.portion(product.code)
    return _volume(whole, food_of(whole.percent, whole.air))
