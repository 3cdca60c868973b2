"""Price rules in the Book: what each asks for, for what it holds, and which goes before which.

All that decides whether a rule holds stands here, so a new condition is a field of `PriceRule`, what it is held against
in `RuleTerms`, and a line in `fits` or `covers`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple, Protocol

from costing.contract.products import Product

ZERO = Fraction(0)


class _Asked(Protocol):
    @property
    def customer_kind(self) -> str | None: ...


class _Scoped(Protocol):
    @property
    def product(self) -> object: ...
    @property
    def category(self) -> str | None: ...
    @property
    def customer_kind(self) -> str | None: ...
    @property
    def from_units(self) -> int: ...


class RuleTerms(NamedTuple):
    """What price rules look at of an order, its lines aside: the customer's kind."""

    customer_kind: str | None


def rule_terms(asked: _Asked) -> RuleTerms:
    """Give what price rules look at of an order, its lines aside.

    Parameters
    ----------
    asked : Brief
        The order.
    """
    return RuleTerms(asked.customer_kind)


def precedence(rule: _Scoped) -> tuple[bool, int, int]:
    """Give what rules are sorted by, the one that wins first; of equals that wins which stands first.

    One that names the customer's kind goes before one that does not; then the product before the category before
    neither; then the one from the most units.

    Parameters
    ----------
    rule : PriceRule
        A rule of a Book, or a row of one: what it holds for is empty where it holds for all.
    """
    place = 0 if rule.product else (1 if rule.category else 2)
    return (not rule.customer_kind, place, -rule.from_units)


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

    def covers(self, product: Product) -> bool:
        """Tell whether it holds for a product, the order's own terms aside.

        Parameters
        ----------
        product : Product
            Any product.
        """
        return self.product in (None, product.code) and self.category in (None, product.category)

    def fits(self, terms: RuleTerms) -> bool:
        """Tell whether it holds for an order, its lines aside.

        Parameters
        ----------
        terms : RuleTerms
            Of the order.
        """
        return self.customer_kind in (None, terms.customer_kind)
