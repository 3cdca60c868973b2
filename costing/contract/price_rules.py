"""Price rules in the Book."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class PriceRule:
    """A target margin [share of the net price] and for what it holds."""

    code: str
    margin: Fraction
    product: str | None = None
    category: str | None = None
    customer_kind: str | None = None
    from_units: int = 0
    minimum: Fraction = ZERO
    name: str = ""
