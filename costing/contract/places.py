"""Positions in a Book or a Brief, for sorting errors in document order."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from costing.contract.entries import ATTRIBUTES
from costing.contract.errors import Path

Place = tuple[int, ...]


def place(whole: Any, path: Path) -> Place:
    """Return the position of a path in a Book or a Brief, for sorting errors.

    Parameters
    ----------
    whole : object
        A JSON document, or a Book or Brief of values: then the order is that of its fields.
    path : tuple of str or int
        A place in it, or just beyond it.
    """
    positions: list[int] = []
    for key in path:
        at, whole = _position(whole, key)
        positions.append(at)
    return tuple(positions)


def _position(whole: Any, key: str | int) -> tuple[int, Any]:
    if isinstance(whole, dict):
        return list(whole).index(key) if key in whole else len(whole), whole.get(key)
    if isinstance(whole, list):
        at = key if isinstance(key, int) else 0
        return at, whole[at] if isinstance(key, int) and at < len(whole) else None
    if isinstance(whole, tuple):
        codes = [key] if isinstance(key, int) else [i for i, item in enumerate(whole) if item.code == key]
        at = codes[0]
        return at, whole[at]
    if isinstance(key, int):  # a tax has its rates in a record of its own
        return key, whole.rates[key] if hasattr(whole, "rates") else None
    names = [field.name for field in fields(whole)] if is_dataclass(whole) else []
    name = ATTRIBUTES.get(key, key)
    return names.index(name) if name in names else len(names), getattr(whole, name, None)
