"""The minutes of a step for an amount made in so many batches or loads: the hands', and those of the clock.

Nothing else adds up a step's minutes: what labor is paid for, what the prep list says, what the steps of an order's
timing take and what the product page tells all come from here.

Hands are exact and the same everywhere: so many for each batch of a recipe or load of a product, and so many for each
kilogram or unit made.

By the clock a step takes the minutes stated for it, or its hands' minutes where those are more. Three readings of that
differ still, each as its screen has always had it, until the plan of all orders replaces them:

* `clock_minutes`: of a step that waits the hands are not counted, nobody stands beside it. Cooling counts so, for one
  load, with the least wait after it.
* `whole_clock_minutes`: the same in whole minutes up, and work never longer than the longest time somebody is there:
  more than that is shared among hands or days. An order's timing counts so, for all loads together.
* `turn_minutes`: hands are counted whatever the kind, and the least wait with them. The product page counts so, step
  after step for one load.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import TypeVar

from costing.contract.steps import Step

N = TypeVar("N", Decimal, Fraction)
ZERO = Fraction(0)


def hands(fixed: N, each: N, times: int, amount: N | int) -> N:
    """Give what work takes that has a part for each batch or load and one for each kilogram or unit.

    Parameters
    ----------
    fixed : Decimal or Fraction
        For each batch or load [min, or currency].
    each : Decimal or Fraction
        For each of the amount's unit [min, or currency].
    times : int
        Batches or loads [each].
    amount : Decimal, Fraction or int
        What is made, in the unit `each` is for.
    """
    return fixed * times + each * amount


def hands_minutes(step: Step, times: int, amount: Fraction) -> Fraction:
    """Give the hands a step takes, exactly [min].

    Parameters
    ----------
    step : Step
        A step of a recipe or product.
    times : int
        Batches of the recipe, or loads of the product [each].
    amount : Fraction
        Kilograms of the recipe, or units of the product made.
    """
    return hands(step.hands_fixed, step.hands_each, times, amount)


def clock_minutes(step: Step, times: int, amount: Fraction) -> Fraction:
    """Give how long a step takes by the clock, exactly [min]; the hands of one that waits are not counted.

    Parameters
    ----------
    step : Step
        A step of a recipe or product.
    times : int
        Batches or loads [each].
    amount : Fraction
        Kilograms or units made.
    """
    stated = step.minutes or ZERO
    return stated if step.waits else max(stated, hands_minutes(step, times, amount))


def whole_clock_minutes(step: Step, times: int, amount: Fraction, longest: int) -> int:
    """Give how long a step takes by the clock in whole minutes up; work is cut at the longest time somebody is there.

    Parameters
    ----------
    step : Step
        A step of a recipe or product.
    times : int
        Batches or loads [each].
    amount : Fraction
        Kilograms or units made.
    longest : int
        The longest span somebody works [min].
    """
    minutes = ceil(clock_minutes(step, times, amount))
    return minutes if step.waits else min(minutes, longest)


def turn_minutes(step: Step, times: int, amount: Fraction) -> Fraction:
    """Give how long a step and the least wait after it take, its hands counted whatever its kind, exactly [min].

    Parameters
    ----------
    step : Step
        A step of a recipe or product.
    times : int
        Batches or loads [each].
    amount : Fraction
        Kilograms or units made.
    """
    return max(step.minutes or ZERO, hands_minutes(step, times, amount)) + (step.wait_min or ZERO)
