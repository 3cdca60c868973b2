"""The price rule that applies to a line."""

from __future__ import annotations

from collections.abc import Iterable

from costing.contract.book import PriceRule
from costing.contract.price_rules import RuleTerms
from costing.requirements.compiled_book import CompiledBook


class UnitsTogether:
    """The total units of the lines that a rule matches, computed once per rule.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    lines : iterable of (int, int)
        Product and units of every line.
    """

    def __init__(self, compiled: CompiledBook, lines: Iterable[tuple[int, int]]) -> None:
        self._compiled, self._lines = compiled, tuple(lines)
        self._together: dict[str, int] = {}

    def of(self, rule: PriceRule) -> int:
        """Return the total units of the lines that a rule matches, whatever the customer's kind.

        Parameters
        ----------
        rule : PriceRule
            A rule of the Book.
        """
        if rule.code not in self._together:
            covers = self._compiled.covers
            self._together[rule.code] = sum(units for product, units in self._lines if covers(rule, product))
        return self._together[rule.code]


def winning_rule(compiled: CompiledBook, product: int, terms: RuleTerms, units: UnitsTogether) -> PriceRule | None:
    """Find the price rule of a line: the most specific rule that matches (contract, computation 9).

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    product : int
        Place of the line's product.
    terms : RuleTerms
        What rules check besides the lines: the customer's kind.
    units : UnitsTogether
        Units of the order's lines.

    Returns
    -------
    PriceRule or None
        None when none matches.
    """
    for rule in compiled.rules_for(product, terms):
        if not rule.from_units or units.of(rule) >= rule.from_units:
            return rule
    return None
