"""How a load of a product or a batch of a recipe is made, as the plan reads it: a Book's steps as elements.

A step is where something is until the next one begins: in the hands of somebody, in an oven, on a shelf. What a Book
does not say counts on the safe side (`costing.contract.plan_bounds`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from math import ceil
from typing import Final

from costing.contract import Book, Mold, Product, Recipe, Station, Step
from costing.contract.plan_bounds import LAX_WAIT_MIN, SAFE_COLD_WAIT_MIN, SAFE_WARM_WAIT_MIN
from costing.contract.steps import COLD, goes_on_at_once
from costing.plan.grid import GRID_MIN
from costing.plan.problem import HANDS, Element, Making, Need, Use
from costing.timing.chains import CoolingTime, ends_hot, fill_is_shelf_stable
from costing.timing.steps import clock_minutes, hands_minutes

ALONE_MIN: Final = 240
"""Work longer than this is divided among people, where there are more [min]; own choice."""

LOADS: Final = "product:"
"""Components that are loads of a product begin so, and names of its steps."""
_COLD_STATIONS: Final = frozenset({"refrigerator", "freezer"})

Cold = Mapping[int, CoolingTime]
"""Place of a step, from 0 -> how long cooling makes it."""


@dataclass(frozen=True, slots=True)
class Amount:
    """How much is made at once.

    Parameters
    ----------
    units : Fraction
        Units of a product [each], or how much of a recipe [kg].
    share : Fraction
        How much of a load's or batch's fixed hands falls on it [share].
    """

    units: Fraction
    share: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class Taken:
    """What a step takes of a recipe [g], and when records say that its batch began to cool."""

    step: int
    recipe: str
    grams: int
    begun: tuple[str, int] | None = None


@dataclass(frozen=True, slots=True)
class _Work:
    """What is made: its steps, how much, what cooling makes longer, how long it keeps, places it takes by station.

    ``at_once`` tells of each step whether the next one begins at once because it is hot; ``hot`` whether it ends so.
    """

    code: str
    steps: Sequence[Step]
    amount: Amount
    cold: Cold
    keeps: int | None
    places: Callable[[str], int]
    at_once: tuple[bool, ...]
    hot: bool = False


@dataclass(frozen=True, slots=True)
class Makings:
    """Makes makings from a Book.

    Parameters
    ----------
    book : Book
        A sound Book.
    people : int
        The most people who are ever there at the same time.
    lax : bool
        Whether waits that nobody stated may be long, so that a no rests on what is stated alone; what is hot waits no
        longer even so.
    """

    book: Book
    people: int
    lax: bool = False

    def of_product(self, product: Product, amount: Amount, cold: Cold, taken: Sequence[Taken]) -> Making:
        """Return how one load of a product is made; the last element is the stay until it leaves.

        Parameters
        ----------
        product : Product
            Of the Book.
        amount : Amount
            Units in the load.
        cold : mapping of int to CoolingTime
            Its steps that last until it is cold.
        taken : sequence of Taken
            Recipes its steps take.
        """
        keeps = self._cold_wait if product.keeps_hours is None else int(product.keeps_hours * 60)
        at_once = _at_once(product.steps, safe=fill_is_shelf_stable(product, self.book))
        work = _Work(f"{LOADS}{product.code}", product.steps, amount, cold, keeps, product.places_at, at_once)
        begun = list(self._steps(work))
        mold, free = self._mold(product, amount), product.mold_free_after or len(product.steps)
        if product.mold_leaves:
            free = len(product.steps) + 1
        elements = [_with(element, mold) if mold is not None and at < free else element for at, element in begun]
        return Making(tuple(elements), tuple(_needs(begun, taken)))

    @staticmethod
    def of_share(
        product: Product, amount: Amount, begun: tuple[str, int] | None, within: tuple[tuple[str, str, int], ...] = ()
    ) -> Making:
        """Return how what an order takes of a load is made that may serve others too: it is there when it leaves.

        Parameters
        ----------
        product : Product
            Of the Book.
        amount : Amount
            Whole units of it.
        begun : tuple of (str, int) or None
            The step in which the load began to cool, and when, by records.
        within : tuple of (str, str, int)
            Of the recipes that the load takes: the component, a step, and when it began, by records.
        """
        name = f"{LOADS}{product.code}"
        taken = Element(f"{name}/{len(product.steps)}", 0, 0, attended=False)
        return Making((taken,), (Need(0, name, ceil(amount.units), begun, within),))

    def of_recipe(self, recipe: Recipe, kilograms: Fraction, cold: Cold, taken: Sequence[Taken]) -> Making:
        """Return how one batch of a recipe is made; the last element is the stay until it is used up.

        Parameters
        ----------
        recipe : Recipe
            Of the Book.
        kilograms : Fraction
            How much of it [kg].
        cold : mapping of int to CoolingTime
            Its steps that last until it is cold.
        taken : sequence of Taken
            Recipes it takes.
        """
        share = recipe.kg_per_place
        places = 1 if share is None else max(1, ceil(kilograms / share))
        at_once, hot = _at_once(recipe.steps, safe=recipe.shelf_stable), ends_hot(recipe)
        in_cold = partial(_in_cold, places)
        work = _Work(f"recipe:{recipe.code}", recipe.steps, Amount(kilograms), cold, None, in_cold, at_once, hot)
        begun = list(self._steps(work))
        return Making(tuple(element for _, element in begun), tuple(_needs(begun, taken)))

    def _steps(self, work: _Work) -> Iterator[tuple[int, Element]]:
        """Yield each element with the place of its step; the stay at the end has the place after the last step."""
        held: Station | None = None
        count = len(work.steps)
        for at, step in enumerate(work.steps):
            station = None if step.station is None else self.book.station(step.station)
            if step.kind in COLD or (at + 1 == count and step.waits):
                held = station or held
            yield from ((at, each) for each in self._step(work, at, station))
        yield count, self._stay(work, held)

    def _stay(self, work: _Work, held: Station | None) -> Element:
        """Return the stay after the last step: where it was cold, for as long as it keeps."""
        last = work.steps[-1] if work.steps else None
        stated = None if last is None or last.hold_max is None else int(last.hold_max)
        least = 0 if last is None else ceil(last.wait_min or 0)
        usual = self._wait if held is None else self._cold_wait
        usual = min(usual, SAFE_WARM_WAIT_MIN) if work.hot else usual
        longest = next(each for each in (stated, work.keeps, usual) if each is not None)
        carried = last is not None and not last.waits
        name = f"{work.code}/{len(work.steps)}"
        return Element(name, least, max(_on_grid(least), longest), _at(held, work), None, attended=carried)

    def _step(self, work: _Work, at: int, station: Station | None) -> Iterator[Element]:
        """Yield the elements of a step: hands, then what runs by itself, then the wait for the next step."""
        step, name = work.steps[at], f"{work.code}/{at}"
        there, degrees = _at(station, work), _degrees(step, station)
        people, minutes, alone = self._lasts(step, work, work.cold.get(at))
        if minutes:
            yield _exact(name, minutes, (Use(HANDS, people), *there), degrees, attended=True)
        stays, least = at + 1 < len(work.steps), ceil(step.wait_min or 0)
        longest = _on_grid(least) if work.at_once[at] else self._longest_wait(step, least)
        if step.waits:
            if stays and alone + longest:
                yield Element(name, alone + least, _on_grid(alone) + longest, there, degrees)
            elif alone:
                yield _exact(name, alone, there, degrees, attended=True)
            return
        if alone:
            yield _exact(name, alone, there, degrees, attended=not minutes)
        if stays and longest:
            yield Element(name, least, longest)

    def _lasts(self, step: Step, work: _Work, cooling: CoolingTime | None) -> tuple[int, int, int]:
        """Return how many people are at a step for how long, and how long it then runs by itself [min]."""
        amount = work.amount
        exact = hands_minutes(step, 1, amount.units) - step.hands_fixed * (1 - amount.share)
        people = min(self.people, max(1, ceil(exact / ALONE_MIN)))
        minutes = ceil(exact / people)
        if step.waits:
            stated = ceil(clock_minutes(step, 1, amount.units))
            return people, minutes, stated if cooling is None else max(stated, cooling.minutes)
        alone = max(0, ceil(step.minutes or 0) - minutes)
        throughout = alone and minutes and step.needs_somebody_throughout
        return (people, minutes + alone, 0) if throughout else (people, minutes, alone)

    @property
    def _wait(self) -> int:
        """How long something waits out of the cold where no step states it [min]."""
        stated = self.book.kitchen.described.longest_wait_min
        return stated or (LAX_WAIT_MIN if self.lax else SAFE_WARM_WAIT_MIN)

    @property
    def _cold_wait(self) -> int:
        """How long something waits in the cold where neither a step nor its keeping time states it [min]."""
        return LAX_WAIT_MIN if self.lax else SAFE_COLD_WAIT_MIN

    def _longest_wait(self, step: Step, least: int) -> int:
        """Return how long something may wait after a step."""
        if step.hold_max is not None:
            return max(_on_grid(least), int(step.hold_max))
        return _on_grid(least) + (self._cold_wait if step.kind in COLD else self._wait)

    def _mold(self, product: Product, amount: Amount) -> Use | None:
        mold = mold_of(product, self.book)
        return None if mold is None or amount.units > mold.owned else Use(f"mold:{mold.name}", ceil(amount.units))


def _at(station: Station | None, work: _Work) -> tuple[Use, ...]:
    """Return what it takes at a station; nothing where nobody says how much goes into it."""
    if station is None or station.places is None:
        return ()
    return (Use(f"station:{station.code}", work.places(station.kind)),)


def _at_once(steps: Sequence[Step], *, safe: bool) -> tuple[bool, ...]:
    """Return for each step whether the next begins at once; what is safe at room temperature may wait."""
    return (False,) * len(steps) if safe else goes_on_at_once(steps)


def _in_cold(places: int, kind: str) -> int:
    """Return how many places a batch takes at a station; elsewhere than in the cold it is one."""
    return places if kind in _COLD_STATIONS else 1


def mold_of(product: Product, book: Book) -> Mold | None:
    """Return the mold that each unit of a product is made in; None where one mold holds several, or there is none.

    Parameters
    ----------
    product : Product
        Of the Book.
    book : Book
        With its molds.
    """
    mold = next((mold for mold in book.molds if mold.name == product.mold), None)
    return None if mold is None or (product.load is not None and product.load > mold.owned) else mold


def _exact(name: str, minutes: int, uses: tuple[Use, ...], degrees: float | None, *, attended: bool) -> Element:
    """Return an element that cannot be drawn out."""
    return Element(name, minutes, _on_grid(minutes), uses, degrees, attended)


def _on_grid(minutes: int) -> int:
    return -(-minutes // GRID_MIN) * GRID_MIN


def _with(element: Element, use: Use) -> Element:
    return Element(
        element.name, element.least, element.longest, (*element.uses, use), element.temperature, element.attended
    )


def _degrees(step: Step, station: Station | None) -> float | None:
    """Return the temperature at which something is at a station: an oven's is the step's."""
    if station is None or station.kind != "oven" or step.temperature_c is None:
        return None
    return float(step.temperature_c)


def _needs(begun: Sequence[tuple[int, Element]], taken: Sequence[Taken]) -> Iterator[Need]:
    """Yield what the first element of each step takes; of what no step is left to take, the first of all."""
    first: dict[int, int] = {}
    for number, (at, _) in enumerate(begun):
        first.setdefault(at, number)
    for one in taken:
        yield Need(first.get(one.step, 0), one.recipe, one.grams, one.begun)
