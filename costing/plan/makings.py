"""How a load of a product or a batch of a recipe is made, as the plan reads it: a Book's steps as elements.

A step is where something is until the next one begins: in the hands of somebody, in an oven, on a shelf. What a Book
does not say counts on the safe side: what waits outside a cold place and states no longest hold waits `WAIT_MIN` at
most, what is in the cold `KEEPS_MIN`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

from costing.contract import Book, Mold, Product, Recipe, Station, Step
from costing.contract.steps import COLD
from costing.plan.grid import GRID_MIN
from costing.plan.problem import HANDS, Element, Making, Need, Use
from costing.timing.chains import CoolingTime
from costing.timing.steps import clock_minutes, hands_minutes

WAIT_MIN: Final = 60
"""How long something waits outside a cold place where nobody stated it [min]; common practice, no source."""
KEEPS_MIN: Final = 72 * 60
"""How long something waits in the cold, or ready, where nobody stated it [min]; own choice, below the 7 days of the
US Food Code for what is held at 41 °F (2022, 3-501.17)."""
ALONE_MIN: Final = 240
"""Work longer than this is divided among people, where there are more [min]; own choice."""

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
    """What a step takes of a recipe [g]."""

    step: int
    recipe: str
    grams: int


@dataclass(frozen=True, slots=True)
class Makings:
    """Makes makings from a Book.

    Parameters
    ----------
    book : Book
        A sound Book.
    people : int
        The most people who are ever there at the same time.
    """

    book: Book
    people: int

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
        keeps = KEEPS_MIN if product.keeps_hours is None else int(product.keeps_hours * 60)
        steps = product.steps
        begun = list(self._steps(f"product:{product.code}", steps, amount, cold, keeps))
        mold = self._mold(product, amount)
        elements = [_with(element, mold) if mold is not None and at < len(steps) else element for at, element in begun]
        return Making(tuple(elements), tuple(_needs(begun, taken)))

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
        begun = list(self._steps(f"recipe:{recipe.code}", recipe.steps, Amount(kilograms), cold, None))
        return Making(tuple(element for _, element in begun), tuple(_needs(begun, taken)))

    def _steps(
        self, work: str, steps: Sequence[Step], amount: Amount, cold: Cold, keeps: int | None
    ) -> Iterator[tuple[int, Element]]:
        """Yield each element with the place of its step; the stay at the end has the place after the last step."""
        held: Station | None = None
        for at, step in enumerate(steps):
            station = None if step.station is None else self.book.station(step.station)
            if step.kind in COLD or (at + 1 == len(steps) and step.waits):
                held = station or held
            stays = at + 1 < len(steps)
            yield from ((at, each) for each in self._step(f"{work}/{at}", step, station, amount, cold.get(at), stays))
        yield len(steps), self._stay(f"{work}/{len(steps)}", steps, held, keeps)

    def _stay(self, name: str, steps: Sequence[Step], held: Station | None, keeps: int | None) -> Element:
        """Return the stay after the last step: where it was kept cold, for as long as it keeps."""
        last = steps[-1] if steps else None
        stated = None if last is None or last.hold_max is None else int(last.hold_max)
        least = 0 if last is None else ceil(last.wait_min or 0)
        longest = next(each for each in (stated, keeps, WAIT_MIN if held is None else KEEPS_MIN) if each is not None)
        carried = last is not None and not last.waits
        return Element(name, least, max(_on_grid(least), longest), self._at(held), None, attended=carried)

    def _step(
        self,
        name: str,
        step: Step,
        station: Station | None,
        amount: Amount,
        cooling: CoolingTime | None,
        stays: bool,
    ) -> Iterator[Element]:
        """Yield the elements of a step: hands, then what runs by itself, then the wait for the next step."""
        there, degrees = self._at(station), _degrees(step, station)
        people, work = self._hands(step, amount)
        passes = ceil(clock_minutes(step, 1, amount.units))
        if cooling is not None:
            passes = max(passes, cooling.minutes)
        if work:
            yield _exact(name, work, (Use(HANDS, people), *there), degrees, attended=True)
        alone = passes if step.waits else max(0, ceil(step.minutes or 0) - work)
        least = ceil(step.wait_min or 0)
        longest = _longest_wait(step, least)
        if step.waits:
            if stays and alone + longest:
                yield Element(name, alone + least, _on_grid(alone) + longest, there, degrees)
            elif alone:
                yield _exact(name, alone, there, degrees, attended=True)
            return
        if alone:
            yield _exact(name, alone, there, degrees, attended=not work)
        if stays and longest:
            yield Element(name, least, longest)

    def _hands(self, step: Step, amount: Amount) -> tuple[int, int]:
        """Return how many people work for how long [min]."""
        minutes = hands_minutes(step, 1, amount.units) - step.hands_fixed * (1 - amount.share)
        people = min(self.people, max(1, ceil(minutes / ALONE_MIN)))
        return people, ceil(minutes / people)

    def _at(self, station: Station | None) -> tuple[Use, ...]:
        """Return what one load takes at a station; nothing where nobody says how much goes into it."""
        if station is None or station.places is None:
            return ()
        return (Use(f"station:{station.code}", 1),)

    def _mold(self, product: Product, amount: Amount) -> Use | None:
        mold = mold_of(product, self.book)
        return None if mold is None or amount.units > mold.owned else Use(f"mold:{mold.name}", ceil(amount.units))


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


def _longest_wait(step: Step, least: int) -> int:
    """Return how long something may wait after a step."""
    if step.hold_max is not None:
        return max(_on_grid(least), int(step.hold_max))
    return _on_grid(least) + (KEEPS_MIN if step.kind in COLD else WAIT_MIN)


def _needs(begun: Sequence[tuple[int, Element]], taken: Sequence[Taken]) -> Iterator[Need]:
    """Yield what the first element of each step takes; of what no step is left to take, the first of all."""
    first: dict[int, int] = {}
    for number, (at, _) in enumerate(begun):
        first.setdefault(at, number)
    for one in taken:
        yield Need(first.get(one.step, 0), one.recipe, one.grams)
