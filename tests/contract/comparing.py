"""How the contract compares an Estimate: computed figures within 1e-6, what is charged exactly."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

CHARGED = {
    "rate",
    "target_price",
    "unit_price",
    "amount",
    "price",
    "goods",
    "surcharge",
    "discount",
    "top_up",
    "extras",
    "taxable",
    "tax",
    "revenue",
    "total",
}
TEXT = {"product", "recipe", "ingredient", "rule", "basis", "base", "code", "size", "currency", "format"}
TOLERANCE = Fraction(1, 10**6)


def differences(found: Any, wanted: Any, tolerance: Fraction = TOLERANCE, at: str = "") -> Iterator[str]:
    """Name every place where an Estimate differs from the one wanted; warnings and explanations are not compared."""
    key = at.rpartition("/")[2]
    if isinstance(wanted, dict):
        yield from _objects(found, wanted, tolerance, at)
    elif isinstance(wanted, list):
        if not isinstance(found, list) or len(found) != len(wanted):
            yield f"{at}: {found} instead of {wanted}"
            return
        for i, item in enumerate(wanted):
            yield from differences(found[i], item, tolerance, f"{at}/{i}")
    elif isinstance(wanted, bool) or wanted is None or isinstance(wanted, int) or _is_text(key, wanted, at):
        if found != wanted or type(found) is not type(wanted):
            yield f"{at}: {found!r} instead of {wanted!r}"
    else:
        yield from _numbers(found, Fraction(wanted), key, tolerance, at)


def _is_text(key: str, wanted: Any, at: str) -> bool:
    return isinstance(wanted, str) and (key in TEXT or at.startswith("/allergens/"))


def _objects(found: Any, wanted: dict[str, Any], tolerance: Fraction, at: str) -> Iterator[str]:
    beside = {"warnings", "explain"} if not at else set()
    if not isinstance(found, dict) or set(found) - beside != set(wanted) - beside:
        yield f"{at}: keys {sorted(found)} instead of {sorted(wanted)}"
        return
    for key in wanted:
        if key not in beside:
            yield from differences(found[key], wanted[key], tolerance, f"{at}/{key}")


def _numbers(found: Any, wanted: Fraction, key: str, tolerance: Fraction, at: str) -> Iterator[str]:
    if not isinstance(found, str):
        yield f"{at}: {found!r} is not text"
        return
    gap = abs(Fraction(found) - wanted)
    charged = key in CHARGED or at == "/totals/delivery"
    if gap > (0 if charged else tolerance * max(1, abs(wanted))):
        yield f"{at}: {found} instead of {float(wanted)}"
