"""The fast workings in wide decimals, with exact workings for results that are too close to a threshold.

The wide workings (decimals of 80 digits) compute every figure. All quantities are sums, products and quotients of
numbers that are not negative, so even after a million operations a figure is correct to more than 70 digits. Where a
whole number is decided from a figure (batches, packs, price steps) and the figure lies within 1e-30 of the threshold,
or above 1e20, the exact workings (fractions) decide. Every decision is therefore that of exact rational arithmetic, and
sums of hundreds of fractions are formed only where they matter.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from functools import cached_property

from costing.purchasing.offers import Basket
from costing.requirements.compiled_book import CompiledBook, LineDemand
from costing.requirements.workings import ExactWorkings, Workings

CLOSE = Decimal("1e-30")
FAR = Decimal("0." + 30 * "9")  # 1 - CLOSE, which the default context would round to 1
LARGE = Decimal("1e20")


class WideWorkings(Workings[Decimal]):
    """The workings in wide decimals; `exact` has the same workings in fractions."""

    def __init__(self, compiled: CompiledBook, lines: tuple[LineDemand, ...], day: date) -> None:
        super().__init__(compiled, compiled.wide, lines, day)
        self._rates = compiled.rates_on(day)

    @cached_property
    def exact(self) -> ExactWorkings:
        """The exact workings of the same order."""
        return ExactWorkings(self.compiled, self.compiled.exact, self.lines, self.day)

    def whole_up(self, value: Decimal, exactly: Callable[[ExactWorkings], Fraction]) -> int:
        above = value.to_integral_value(ROUND_CEILING)
        if value < LARGE and CLOSE < above - value < FAR:
            return int(above)
        sure = exactly(self.exact)
        return -(-sure.numerator // sure.denominator)

    def paid(self, basket: Basket) -> Decimal:
        return basket.wide_cost

    def rate(self, ingredient: int) -> Decimal:
        return self._rates.rate(ingredient)

    def fixed_food(self, recipe: int) -> Decimal:
        return self._rates[recipe]
