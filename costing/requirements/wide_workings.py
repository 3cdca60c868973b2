"""The fast run of the workings: in wide decimals, with the exact run beside it for what is too close to call.

The wide run (decimals of 80 digits) gives every figure; all its quantities are sums, products and quotients of
numbers that are not negative, so after even a million operations a figure is right to more than 70 digits. Where a
whole number is decided from a figure (batches, packs, price steps) and the figure lies within 1e-30 of the point of
decision, or is above 1e20, the exact run (fractions) decides. So decisions are those of exact rational arithmetic,
always, and the sums of hundreds of fractions are only formed where they matter.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from functools import cached_property

from costing.purchasing.offers import Basket
from costing.requirements.compiled_book import CompiledBook
from costing.requirements.quantities import LineDemand
from costing.requirements.workings import ExactWorkings, Workings

CLOSE = Decimal("1e-30")
FAR = Decimal("0." + 30 * "9")  # 1 - CLOSE, which the default context would round to 1
LARGE = Decimal("1e20")


class WideWorkings(Workings[Decimal]):
    """The fast run, with an exact one beside it for what is too close to call."""

    def __init__(self, compiled: CompiledBook, lines: tuple[LineDemand, ...], day: date) -> None:
        super().__init__(compiled, compiled.wide, lines, day)
        self._rates = compiled.rates_on(day)

    @cached_property
    def exact(self) -> ExactWorkings:
        """The exact run of the same order."""
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
