"""Where something stands in a Book or a Brief, so that errors can be given in its order."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from costing.contract.entries import ATTRIBUTES
from costing.contract.errors import Path

Place = tuple[int, ...]


def place(whole: Any, path: Path) -> Place:
    """Tell where a path stands in a Book or a Brief, so that errors can be put in order.

    Parameters
    ----------
    whole : object
        A JSON document, or a Book or Brief of values: then the order is that of its fields.
    path : tuple of str or int
        A place in it, or just beyond it.
    """
    steps: list[int] = []
    for step in path:
        at, whole = _step(whole, step)
        steps.append(at)
    return tuple(steps)


def _step(whole: Any, step: str | int) -> tuple[int, Any]:
    if isinstance(whole, dict):
        return list(whole).index(step) if step in whole else len(whole), whole.get(step)
    if isinstance(whole, list):
        at = step if isinstance(step, int) else 0
        return at, whole[at] if isinstance(step, int) and at < len(whole) else None
    if isinstance(whole, tuple):
        codes = [step] if isinstance(step, int) else [i for i, item in enumerate(whole) if item.code == step]
        at = codes[0]
        return at, whole[at]
    if isinstance(step, int):  # a tax holds its rates in a record of its own
        return step, whole.rates[step] if hasattr(whole, "rates") else None
    names = [field.name for field in fields(whole)] if is_dataclass(whole) else []
    name = ATTRIBUTES.get(step, step)
    return names.index(name) if name in names else len(names), getattr(whole, name, None)
