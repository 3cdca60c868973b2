"""A batch's steps in slots, with the rows of the capacity that each may use."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from costing.plan.bit_sets import Starts, both
from costing.plan.capacity import AWAY, COOL, Capacity, Claim
from costing.plan.problem import Element, Making, Need, Use

Option = tuple[Claim, ...]
"""What a step takes in one choice among alike resources."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step in slots.

    Parameters
    ----------
    least : int
        Slots.
    longest : int
        Slots; below `least` where no whole number of slots lies between: then nothing fits.
    options : tuple of Option
        What it takes, one for each choice among alike resources.
    units : tuple of tuple of int
        For each option and use, which of the alike.
    attended : bool
        Whether somebody has to be there when it begins.
    """

    least: int
    longest: int
    options: tuple[Option, ...]
    units: tuple[tuple[int, ...], ...]
    attended: bool


@dataclass(frozen=True, slots=True)
class Chain:
    """A batch's steps in slots.

    Parameters
    ----------
    steps : tuple of Step
        At least one.
    needs : tuple of Need
        What steps take when they begin.
    fresh : tuple of int or None
        Boundary and slots: the end is at most so many slots later.
    elements : tuple of Element
        The same steps in minutes.
    """

    steps: tuple[Step, ...]
    needs: tuple[Need, ...]
    fresh: tuple[int, int] | None
    elements: tuple[Element, ...]

    @property
    def longest(self) -> int:
        """The most slots from begin to end."""
        return sum(step.longest for step in self.steps)


def chain_of(making: Making, capacity: Capacity) -> Chain:
    """Return a batch's steps in slots.

    Parameters
    ----------
    making : Making
        The steps in minutes.
    capacity : Capacity
        Whose rows they use.
    """
    life = making.shelf_life
    fresh = None if life is None else (life.element + 1, life.minutes // capacity.grid)
    steps = tuple(_step(element, capacity) for element in making.elements)
    return Chain(steps, making.needs, fresh, making.elements)


def longest_of(element: Element, grid: int) -> int:
    """Return how long a step may last at most [slots].

    Parameters
    ----------
    element : Element
        The step in minutes.
    grid : int
        Minutes of one slot.
    """
    return -(-element.least // grid) if element.longest == element.least else element.longest // grid


def _step(element: Element, capacity: Capacity) -> Step:
    grid = capacity.grid
    least = -(-element.least // grid)
    longest = longest_of(element, grid)
    choices = list(product(*(list(enumerate(capacity.units[use.resource]))[use.among :] for use in element.uses)))
    options = tuple(
        tuple(_claim(capacity, row, use, element) for (_, row), use in zip(choice, element.uses, strict=True))
        for choice in choices
    )
    units = tuple(tuple(unit for unit, _ in choice) for choice in choices)
    return Step(least, longest, options, units, element.attended)


def _claim(capacity: Capacity, row: int, use: Use, element: Element) -> Claim:
    if use.while_there:
        return row, use.amount, AWAY
    warm = capacity.tolerances[row] is not None and element.temperature is not None
    return row, use.amount, element.temperature if warm and element.temperature is not None else COOL


def starts_of(capacity: Capacity, option: Option) -> Starts:
    """Return where runs begin in which everything an option takes is free.

    Parameters
    ----------
    capacity : Capacity
        What is free.
    option : Option
        What is taken.
    """
    return both([capacity.runs(*claim) for claim in option])
