"""When each load of a step leaves it: loads that need one oven, or the same hands, follow each other.

A plan knows one end of a step, for all that is made. What is hot cools from when its own load leaves, so a limit by the
clock is one for each load.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import floor

from costing.contract.steps import Step
from costing.timing.steps import ZERO, clock_minutes, hands_minutes, whole_clock_minutes


@dataclass(frozen=True, slots=True)
class LoadTimes:
    """When the loads of a step leave it, counted from when the plan has it end for all of them.

    Parameters
    ----------
    count : int
        Loads of a product, or batches of a recipe [each].
    first_min : int
        When the first one leaves [min]; 0 or less.
    every_min : int or None
        How long after it the next one leaves [min]; None where nothing says it.
    last_min : int or None
        When the last one leaves at the latest [min]; None without such a limit.
    each_min : tuple of int
        When each of them leaves [min], where a plan says it of each; empty where it follows from the others.
    """

    count: int = 1
    first_min: int = 0
    every_min: int | None = None
    last_min: int | None = None
    each_min: tuple[int, ...] = ()

    @property
    def known(self) -> bool:
        """Whether it is known when each of several leaves."""
        return self.every_min is not None or bool(self.each_min)

    @property
    def least_apart(self) -> int | None:
        """How long two of them are apart at the least [min]; None where nothing says it."""
        gaps = (after - before for before, after in pairwise(self.each_min))
        return min(gaps, default=self.every_min)

    def leaves(self, number: int) -> int:
        """Return when a load leaves, from 1 [min]; where that is not known, when the first one does.

        Parameters
        ----------
        number : int
            Number of the load, from 1.
        """
        if self.each_min:
            return self.each_min[number - 1]
        found = self.first_min + (number - 1) * (self.every_min or 0)
        return found if self.last_min is None else min(found, self.last_min)

    def each(self) -> Iterator[int]:
        """Yield when each load leaves [min]."""
        return (self.leaves(number) for number in range(1, self.count + 1))


def loads_at(minutes: Sequence[int]) -> LoadTimes:
    """Return the loads of a step that leave it at these times.

    Parameters
    ----------
    minutes : sequence of int
        When each leaves, the first one first [min].
    """
    apart = {after - before for before, after in pairwise(minutes)}
    if len(minutes) > 1 and apart == {0}:
        return LoadTimes(len(minutes), minutes[0])
    if len(apart) == 1:
        return LoadTimes(len(minutes), minutes[0], apart.pop())
    return LoadTimes(len(minutes), minutes[0], each_min=tuple(minutes) if apart else ())


def load_times(step: Step, count: int, made: Fraction, load: Fraction, *, longest: int, in_oven: bool) -> LoadTimes:
    """Return when each load leaves a step, all rounded down: a limit counted from then is never too late.

    Known where each load fills an oven for the minutes stated, or where the step is nothing but work of hands; not
    where several may be in the making at once.

    Parameters
    ----------
    step : Step
        The step after which it cools.
    count : int
        Loads of a product, or batches of a recipe [each].
    made : Fraction
        Units, or kilograms, of all of them.
    load : Fraction
        Units, or kilograms, of one of them.
    longest : int
        The longest span somebody works [min]; more work than that is divided among people or days.
    in_oven : bool
        Whether the step is in an oven, which a load fills.
    """
    if count < 2:
        return LoadTimes()
    one, last = clock_minutes(step, 1, load), clock_minutes(step, 1, made - load * (count - 1))
    whole, work = whole_clock_minutes(step, count, made, longest), hands_minutes(step, 1, load)
    by_hand = not step.waits and work >= (step.minutes or ZERO) and hands_minutes(step, count, made) <= longest
    filled = in_oven and step.minutes is not None
    every = floor(one) if filled or by_hand else 0
    if not every:
        return LoadTimes(count, min(0, floor(min(one, last) - whole)))
    ends = floor(one * (count - 1) + last - whole)
    return LoadTimes(count, min(0, floor(one - whole)), every, ends if filled else min(0, ends))
