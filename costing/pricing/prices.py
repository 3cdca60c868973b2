"""The price rule that applies to a line, and the prices of lines and of delivery."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.contract.book import PriceRule
from costing.contract.brief import Brief
from costing.contract.price_rules import RuleTerms, rule_terms
from costing.measures.numbers import wide
from costing.money.allocation import sum_by_code
from costing.money.rounding import step_up
from costing.requirements.compiled_book import CompiledBook
from costing.requirements.wide_workings import WideWorkings
from costing.requirements.workings import ExactWorkings


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


Basis = Literal["given", "list", "rule"]


@dataclass(slots=True)
class LinePrice:
    """How a line is priced: prices and amount [minor units], net [currency]."""

    rule: PriceRule
    target: int
    basis: Basis
    unit_price: int
    amount: int
    net: Fraction
    tax: str


@dataclass(frozen=True, slots=True)
class DeliveryPrice:
    """The time, cost and price of delivery [min, currency]."""

    minutes: Fraction
    cost: Fraction
    price: Fraction


def rates_of(compiled: CompiledBook, brief: Brief) -> dict[str, Fraction]:
    """Return the tax rates in force on the supply date by code; none for a customer who is exempt.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    brief : Brief
        Supply date and exemption.

    Returns
    -------
    dict of str to Fraction
        Code -> rate [share]; codes without a rate in force are left out.
    """
    return compiled.rates_in_force(None if brief.tax_exempt else brief.tax_date)


def line_prices(
    compiled: CompiledBook, brief: Brief, workings: WideWorkings, rates: dict[str, Fraction]
) -> list[LinePrice]:
    """Price every line.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    brief : Brief
        Given prices and the customer's kind.
    workings : WideWorkings
        Costs of the lines.
    rates : dict of str to Fraction
        Tax rates by code [share].

    Returns
    -------
    list of LinePrice
        In the order of the workings' lines.
    """
    given = {line.product: line.unit_price for line in brief.lines}
    units = UnitsTogether(compiled, ((line.product, line.units) for line in workings.lines))
    terms = rule_terms(brief)
    prices = []
    for at, line in enumerate(workings.lines):
        item = compiled.products[line.product]
        rule = winning_rule(compiled, line.product, terms, units)
        if rule is None:
            raise KeyError(f"no price rule for {item.code}")
        rate = rates[item.tax]
        target = target_price(compiled, workings, at, rule, rate)
        price, basis = _charged(compiled, given[item.code], line.product, target)
        amount = price * line.units
        factor = compiled.gross_factor(rate)
        net = Fraction(amount * factor.denominator, compiled.scale * factor.numerator)
        prices.append(LinePrice(rule, target, basis, price, amount, net, item.tax))
    return prices


def _charged(compiled: CompiledBook, given: Fraction | None, product: int, target: int) -> tuple[int, Basis]:
    if given is not None:
        return int(given * compiled.scale), "given"
    listed = compiled.list_prices[product]
    return (target, "rule") if listed is None else (listed, "list")


def target_price(compiled: CompiledBook, workings: WideWorkings, at: int, rule: PriceRule, rate: Fraction) -> int:
    """Return the price a rule asks for, rounded up to the price step [minor units per unit].

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    workings : WideWorkings
        Costs of the lines.
    at : int
        Place of the line in the workings.
    rule : PriceRule
        The rule that won.
    rate : Fraction
        Tax rate of the line [share].
    """
    per_cost, wide_per_cost = compiled.steps_per_cost(rule.margin, rate)
    units = workings.lines[at].units

    def exactly(exact: ExactWorkings) -> Fraction:
        return exact.line_costs[at].cost * per_cost / units

    steps = workings.whole_up(workings.line_costs[at].cost * wide_per_cost / units, exactly)
    return max(steps, least_steps(compiled, rule)) * compiled.step


def least_steps(compiled: CompiledBook, rule: PriceRule) -> int:
    """Return a rule's minimum price in whole price steps, rounded up.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    rule : PriceRule
        Any rule of the Book.
    """
    return compiled.least_steps(rule.minimum)


def delivery_price(
    compiled: CompiledBook, brief: Brief, prices: list[LinePrice], rates: dict[str, Fraction]
) -> DeliveryPrice | None:
    """Price delivery; None when the order is collected.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    brief : Brief
        Delivery terms.
    prices : list of LinePrice
        Prices of the goods that are delivered.
    rates : dict of str to Fraction
        Tax rates by code [share].
    """
    terms, book = brief.delivery, compiled.delivery
    if terms is None or book is None:
        return None
    minutes = terms.crew * (2 * terms.minutes + terms.setup_minutes)
    cost = minutes * compiled.delivery_pay + 2 * terms.km * book.per_km
    code = _main_code(prices) if book.tax == "goods" else book.tax
    price = cost / (1 - book.margin) * compiled.gross_factor(rates[code])
    return DeliveryPrice(Fraction(minutes), cost, step_up(price, compiled.kitchen.price_step))


def _main_code(prices: list[LinePrice]) -> str:
    amounts = by_code(prices)
    return min(amounts, key=lambda code: (-amounts[code], code))


def by_code(prices: list[LinePrice]) -> dict[str, int]:
    """Sum the amounts of the goods by tax code [minor units].

    Parameters
    ----------
    prices : list of LinePrice
        Prices of the goods.
    """
    return sum_by_code((price.tax, price.amount) for price in prices)


def misses(price: LinePrice, cost: Decimal) -> bool:
    """Return whether a list price or a price given by hand earns less than its rule asks for.

    Parameters
    ----------
    price : LinePrice
        How the line is priced.
    cost : Decimal
        Cost of the line [currency].
    """
    if price.basis == "rule":
        return False
    return not price.net or cost > wide(price.net * (1 - price.rule.margin))
