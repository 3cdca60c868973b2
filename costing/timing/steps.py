"""The minutes of a step for an amount made in a number of batches or loads: hands and elapsed time.

No other module computes a step's minutes: paid labor, the prep list, an order's timing and the product page all use
these functions.

Minutes of hands are exact and the same everywhere: a number for each batch of a recipe or load of a product, and a
number for each kilogram or unit made.

The elapsed time of a step is the minutes stated for it, or its minutes of hands where those are more. Three variants
differ, one for each place that uses them:

* `clock_minutes`: hands are not counted for a step that waits, because nobody attends it. Cooling uses this for one
  load, with the least wait after it.
* `whole_clock_minutes`: the same, rounded up to whole minutes, and work is capped at the longest span somebody works:
  more than that is divided among people or days. An order's timing uses this for all loads together.
* `turn_minutes`: hands are counted for every kind of step, and the least wait is added. The product page uses this,
  step after step for one load.
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
    """Return a fixed amount per batch or load plus an amount per kilogram or unit, for minutes or money.

    Parameters
    ----------
    fixed : Decimal or Fraction
        For each batch or load [min, or currency].
    each : Decimal or Fraction
        For each of the amount's unit [min, or currency].
    times : int
        Batches or loads [each].
    amount : Decimal, Fraction or int
        The amount made, in the unit of `each`.
    """
    return fixed * times + each * amount


def hands_minutes(step: Step, times: int, amount: Fraction) -> Fraction:
    """Return the minutes of hands a step takes, exactly [min].

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
    """Return the elapsed time of a step, exactly [min]; hands are not counted for a step that waits.

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
    """Return the elapsed time of a step in whole minutes, rounded up [min]; work is capped at the longest working span.

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
    """Return the elapsed time of a step with the least wait after it, exactly [min]; hands are counted for every kind.

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
