"""An explanation of a figure: its formula in words and what went into it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.measures.numbers import figure, figure_text

Value = Fraction | Decimal | int | str | None


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that went into a figure: its name, its value as text, its unit."""

    name: str
    value: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """A figure's formula in words and what went into it."""

    formula: str
    inputs: tuple[Input, ...]


def explanation(formula: str, *inputs: tuple[str, Value, str]) -> Explanation:
    """Put a formula in words and its inputs together.

    Parameters
    ----------
    formula : str
        The formula in words.
    *inputs : tuple of (str, value, str)
        Name, value and unit of what went in; a value that is None was not there and is left out.
    """
    return Explanation(formula, tuple(Input(name, _text(v), unit) for name, v, unit in inputs if v is not None))


def _text(value: Value) -> str:
    if isinstance(value, Decimal):
        return figure_text(figure(value))
    if isinstance(value, Fraction):
        return figure_text(value)
    return str(value)
