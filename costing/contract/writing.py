"""Write values as they stand in documents."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from costing.measures.measure import Measure
from costing.measures.numbers import number_text

OVERHEAD_KEYS: Mapping[str, str] = {"per_labor_hour": "per_labour_hour", "per_order": "per_order"}
"""Rate of `costing.contract.kitchen.Overhead` -> its key in a document."""


def stated(pairs: Iterable[tuple[str, Any, Any]]) -> dict[str, Any]:
    """Write an object, leaving out values equal to their default.

    Parameters
    ----------
    pairs : iterable of (str, object, object)
        Key, value, and the default that is left out (`...` when the key is always written).

    Returns
    -------
    dict
        Fractions as exact decimals, measures as their text, days as YYYY-MM-DD, tuples as lists.
    """
    return {key: _written(value) for key, value, default in pairs if default is ... or value != default}


def _written(value: Any) -> Any:
    if isinstance(value, Fraction):
        return number_text(value)
    if isinstance(value, Measure):
        return value.text
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return list(value)
    return value
