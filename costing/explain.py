"""The formula and the inputs behind every figure, in words. Nothing here runs unless it is asked for."""

from __future__ import annotations

from dataclasses import dataclass


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

    def as_json(self) -> dict[str, object]:
        """Give the explanation as the command prints it."""
        return {
            "formula": self.formula,
            "inputs": [{"name": i.name, "value": i.value, "unit": i.unit} for i in self.inputs],
        }
