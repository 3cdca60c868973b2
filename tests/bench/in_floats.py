"""The same computation in floating point: what it would cost not to be exact.

Every step, table, warning and text is that of the product; only the numbers are floats, and whole numbers are decided
by rounding. So the ratio to it is the price of exactness, and of nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from math import ceil
from typing import Any
from unittest.mock import patch

from costing.contract import estimate_writer
from costing.estimating import engine, warnings
from costing.pricing import prices, totals
from costing.purchasing import offers
from costing.requirements import book_tables, compiled_book, wide_workings

ALMOST = 1e-9
"""How far above a whole number a float may be and still be that number."""


def _whole_up(_: Any, value: float, __: Callable[..., Fraction]) -> int:
    return ceil(value - ALMOST)


def _is_below(self: warnings.LeastAmount, amount: int, units: int) -> bool:
    own, more, per_cost = (float(value) for value in (self.own, self.more, self.per_cost))
    steps = ceil((own + (units - self.units) * more) * per_cost / units - ALMOST)
    return max(steps, self.least) * self.step * units < amount


def _text(value: float | Fraction) -> str:
    return f"{float(value):.12f}".rstrip("0").rstrip(".")


@contextmanager
def floats() -> Iterator[None]:
    """Let the computation run in floats: Books compiled and estimated inside are."""
    replaced: list[tuple[Any, str, Any]] = [
        (module, "wide", float) for module in (book_tables, compiled_book, offers, prices, totals, engine)
    ]
    replaced += [(module, "Decimal", float) for module in (book_tables, compiled_book)]
    replaced += [(totals, "CLOSE", 1e-12), (totals, "ONE", 1.0), (engine, "NOTHING", 0.0), (engine, "Figure", float)]
    replaced += [(wide_workings.WideWorkings, "whole_up", _whole_up), (warnings.LeastAmount, "is_below", _is_below)]
    replaced += [(warnings, "WORTH_A_LOOK", 0.25), (estimate_writer, "figure_text", _text)]
    patches = [patch.object(owner, name, value) for owner, name, value in replaced]
    for each in patches:
        each.start()
    try:
        yield
    finally:
        for each in reversed(patches):
            each.stop()
