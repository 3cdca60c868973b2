"""How long what goes in warm waits while loads are filled one after the other, against its warm hold or the rule."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from catalog.cooling.cycles import rule_of
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import station_of
from catalog.cooling.warm_parts import warm_part
from catalog.cooling.warm_products import joins_of
from catalog.recipes.perishables import room_safe
from catalog.records.reasons import Reason
from costing.contract import Book, Product, Step
from costing.timing.steps import ZERO, clock_minutes, hands_minutes


@dataclass(frozen=True, slots=True)
class WarmPart:
    """A component that goes in warm, load by load: a load every so many minutes, and how long it may wait [min].

    ``stated`` when that is its own warm hold, not the rule's time. ``load`` are the units of a load.
    """

    product: Product
    name: str
    every: float
    most: float
    stated: bool
    load: int

    @property
    def loads_each(self) -> int:
        """How many loads one batch of it fills in that time, at least one."""
        return int(self.most // self.every) + 1

    def waits(self, loads: int) -> float:
        """Return how long one batch of it waits for the last of some loads [min]."""
        return (loads - 1) * self.every

    def batches(self, loads: int) -> int:
        """Return in how many batches it has to be made for some loads."""
        return ceil(loads / self.loads_each)

    @property
    def note(self) -> Reason:
        """The remark on how many loads one batch of it fills, whatever the order."""
        units = self.loads_each * self.load
        facts = {"part": self.name, "loads": self.loads_each, "units": units, "every": self.every, "most": self.most}
        return Reason("one_batch_fills" if self.stated else "one_batch_fills_by_rule", facts)

    def too_long(self, loads: int) -> Reason | None:
        """Return that a batch for some loads waits too long, and what helps; None where it does not."""
        if loads <= self.loads_each:
            return None
        facts = {"product": self.product.name, "part": self.name, "count": loads, "waits": self.waits(loads)}
        facts |= {"most": self.most, "batches": self.batches(loads), "loads": self.loads_each}
        return Reason("waits_warm" if self.stated else "waits_warm_by_rule", facts)


def warm_parts_of(product: Product, book: Book) -> list[WarmPart]:
    """Return the components of a product that wait warm while its loads are filled; none where it is all one load."""
    if product.load is None:
        return []
    return list(_parts(product, int(product.load), RecipeMixtures(book)))


def _parts(product: Product, load: int, mixtures: RecipeMixtures) -> Iterator[WarmPart]:
    book = mixtures.book
    for place, codes in joins_of(product).items():
        every = _every(product.steps[place:], Fraction(load), book)
        for code in codes if every else ():
            recipe = book.recipe(code)
            found = None if room_safe(recipe, book) else _most(product.steps[place], code, mixtures)
            if found is not None:
                yield WarmPart(product, recipe.name, every, *found, load)


def _most(step: Step, code: str, mixtures: RecipeMixtures) -> tuple[float, bool] | None:
    """Return how long a component may wait warm, and whether its own hold says so; None where it is not warm."""
    profile, warm = mixtures.book.kitchen.described, warm_part(code, mixtures)
    if warm is not None and warm.step.hold_max is not None:
        return float(warm.step.hold_max), True
    taken_warm = code in step.takes and step.takes_c is not None and step.takes_c > profile.room_c
    if warm is None and not taken_warm:
        return None
    rule = rule_of(profile)
    times = [leg.minutes for leg in rule.legs[:1]] or [float(one.minutes) for one in rule.times_out]
    return (min(times), False) if times else None


def _every(steps: tuple[Step, ...], load: Fraction, book: Book) -> float:
    """Return how long after a load the next one is filled [min]; 0 where nothing says it.

    Its mold is free again, and the oven, once the load before has been through the heat.
    """
    found = 0.0
    for step in steps:
        if step.waits:
            break
        station = station_of(step, book)
        in_oven = station is not None and station.kind == "oven"
        work = hands_minutes(step, 1, load)
        known = in_oven or work >= (step.minutes or ZERO)
        found = max(found, float(clock_minutes(step, 1, load) if known else work))
        if step.heats:
            break
    return found
