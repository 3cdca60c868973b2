"""Price rules in the Book: what each requires, what it applies to, and their precedence.

Every condition of a rule is defined here. A new condition needs a field of `PriceRule`, the order's value in
`RuleTerms`, and a line in `fits` or `covers`.
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
    """What price rules check of an order besides its lines: the customer's kind."""

    customer_kind: str | None


def rule_terms(asked: _Asked) -> RuleTerms:
    """Return what price rules check of an order besides its lines.

    Parameters
    ----------
    asked : Brief
        The order.
    """
    return RuleTerms(asked.customer_kind)


def precedence(rule: _Scoped) -> tuple[bool, int, int]:
    """Return the sort key of a rule, best first; of rules with equal keys the one listed first wins.

    A rule that names the customer's kind precedes one that does not; then a product precedes a category, and a category
    precedes neither; then the rule from the most units comes first.

    Parameters
    ----------
    rule : PriceRule
        A rule of a Book, or a database row; conditions are empty where it applies to all.
    """
    place = 0 if rule.product else (1 if rule.category else 2)
    return (not rule.customer_kind, place, -rule.from_units)


def is_limited(rule: _Scoped) -> bool:
    """Tell whether a rule holds for some lines only.

    Parameters
    ----------
    rule : PriceRule
        A rule of a Book, or a row of one: what it holds for is empty where it holds for all.
    """
    return bool(rule.product or rule.category or rule.customer_kind or rule.from_units)


@dataclass(frozen=True, slots=True)
class PriceRule:
    """A target margin and what it applies to.

    Parameters
    ----------
    code : str
        Its code.
    margin : Fraction
        Margin it asks for [share of the net price].
    product, category, customer_kind : str, optional
        What it applies to; to all where it is None.
    from_units : int
        It applies from this many units of all lines it matches [each].
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
        """Return whether it matches a product, whatever the customer's kind.

        Parameters
        ----------
        product : Product
            Any product.
        """
        return self.product in (None, product.code) and self.category in (None, product.category)

    def fits(self, terms: RuleTerms) -> bool:
        """Return whether it matches an order's terms, whatever its lines.

        Parameters
        ----------
        terms : RuleTerms
            Of the order.
        """
        return self.customer_kind in (None, terms.customer_kind)
