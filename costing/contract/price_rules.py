"""Price rules in the Book."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class PriceRule:
    """A target margin and for what it holds.

    Parameters
    ----------
    code : str
        Its code.
    margin : Fraction
        Margin it asks for [share of the net price].
    product, category, customer_kind : str, optional
        What it holds for; for all of them where it is None.
    from_units : int
        It holds from this many units of all lines it matches [each].
    minimum : Fraction
        Least price of one unit [currency].
    name : str
        Name for people.
    """

    code: str
    margin: Fraction
    product: str | None = None
    category: str | None = None
    customer_kind: str | None = None
    from_units: int = 0
    minimum: Fraction = ZERO
    name: str = ""
