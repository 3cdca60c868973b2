"""Explanations of figures: a formula in words, and its inputs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.measures.numbers import Figure, figure_text

Value = Fraction | Decimal | int | str | None


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a figure: its name, its value as text, its unit."""

    name: str
    value: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """A figure's formula in words, and its inputs."""

    formula: str
    inputs: tuple[Input, ...]


def explanation(formula: str, *inputs: tuple[str, Value, str]) -> Explanation:
    """Build an explanation from a formula in words and its inputs.

    Parameters
    ----------
    formula : str
        The formula in words.
    *inputs : tuple of (str, value, str)
        Name, value and unit of each input; an input whose value is None is left out.
    """
    return Explanation(formula, tuple(Input(name, _text(v), unit) for name, v, unit in inputs if v is not None))


def _text(value: Value) -> str:
    if isinstance(value, Decimal):
        return figure_text(Figure(value))
    if isinstance(value, Fraction):
        return figure_text(value)
    return str(value)
