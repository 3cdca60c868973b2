"""What is charged for each line and for delivery."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.book import PriceRule
from costing.brief import Brief
from costing.brief_checks import UnitsTogether, winning_rule
from costing.compiled import Compiled
from costing.money import step_up
from costing.tables import wide
from costing.workings import Asked, Exact, Wide

MINUTES_PER_HOUR = 60


@dataclass(frozen=True, slots=True)
class LinePrice:
    """How a line is priced [currency]."""

    rule: PriceRule
    target: Fraction
    basis: Literal["given", "list", "rule"]
    unit_price: Fraction
    amount: Fraction
    net: Fraction
    tax: str


@dataclass(frozen=True, slots=True)
class DeliveryPrice:
    """What delivery takes, costs and is charged at [min, currency]."""

    minutes: Fraction
    cost: Fraction
    price: Fraction


def rates_of(compiled: Compiled, brief: Brief) -> dict[str, Fraction]:
    """Give the tax rates in force on the supply date by code; none for a customer who is exempt.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    brief : Brief
        Supply date and exemption.

    Returns
    -------
    dict of str to Fraction
        Code -> rate [share]; codes without a rate in force are left out.
    """
    if brief.tax_exempt:
        return dict.fromkeys(compiled.taxes, Fraction(0))
    rates = {code: tax.rate_on(brief.tax_date) for code, tax in compiled.taxes.items()}
    return {code: rate for code, rate in rates.items() if rate is not None}


def gross_factor(compiled: Compiled, rate: Fraction) -> Fraction:
    """Give what a price is per unit of net price: 1 + rate where prices are shown with tax, else 1.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    rate : Fraction
        Tax rate [share].
    """
    return 1 + rate if compiled.kitchen.prices == "gross" else Fraction(1)


def line_prices(compiled: Compiled, brief: Brief, workings: Wide, rates: dict[str, Fraction]) -> list[LinePrice]:
    """Price every line.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    brief : Brief
        Given prices and the customer's kind.
    workings : Wide
        Costs of the lines.
    rates : dict of str to Fraction
        Tax rates by code [share].

    Returns
    -------
    list of LinePrice
        In the order of the workings' lines.
    """
    given = {compiled.product_at[line.product]: line.unit_price for line in brief.lines}
    units = UnitsTogether(compiled, ((line.product, line.units) for line in workings.lines))
    prices = []
    for at, line in enumerate(workings.lines):
        item = compiled.products[line.product]
        rule = winning_rule(compiled, line.product, brief.customer_kind, units)
        if rule is None:
            raise KeyError(f"no price rule for {item.code}")
        factor = gross_factor(compiled, rates[item.tax])
        target = target_price(compiled, workings, at, rule, factor)
        by_hand = given[line.product]
        price, basis = _charged(by_hand, item.list_price, target)
        amount = price * line.units
        prices.append(LinePrice(rule, target, basis, price, amount, amount / factor, item.tax))
    return prices


def _charged(
    given: Fraction | None, listed: Fraction | None, target: Fraction
) -> tuple[Fraction, Literal["given", "list", "rule"]]:
    if given is not None:
        return given, "given"
    if listed is not None:
        return listed, "list"
    return target, "rule"


def target_price(compiled: Compiled, workings: Wide, at: int, rule: PriceRule, factor: Fraction) -> Fraction:
    """Give the price a rule asks for, rounded up to the price step [currency per unit].

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    workings : Wide
        Costs of the lines.
    at : int
        Place of the line in the workings.
    rule : PriceRule
        The rule that won.
    factor : Fraction
        1 + tax rate for prices shown with tax, else 1.
    """
    step = compiled.kitchen.price_step
    line: Asked = workings.lines[at]
    per_cost = factor / ((1 - rule.margin) * line.units * step)

    def exactly(exact: Exact) -> Fraction:
        return exact.line_costs[at].cost * per_cost

    steps = workings.whole_up(workings.line_costs[at].cost * wide(per_cost), exactly)
    return max(steps, -(-rule.minimum // step)) * step


def delivery_price(
    compiled: Compiled, brief: Brief, prices: list[LinePrice], rates: dict[str, Fraction]
) -> DeliveryPrice | None:
    """Price delivery; None when the order is collected.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    brief : Brief
        Delivery terms.
    prices : list of LinePrice
        Prices of the goods it carries.
    rates : dict of str to Fraction
        Tax rates by code [share].
    """
    terms, book = brief.delivery, compiled.delivery
    if terms is None or book is None:
        return None
    minutes = terms.crew * (2 * terms.minutes + terms.setup_minutes)
    cost = minutes * compiled.delivery_pay + 2 * terms.km * book.per_km
    code = _main_code(prices) if book.tax == "goods" else book.tax
    price = cost / (1 - book.margin) * gross_factor(compiled, rates[code])
    return DeliveryPrice(Fraction(minutes), cost, step_up(price, compiled.kitchen.price_step))


def _main_code(prices: list[LinePrice]) -> str:
    amounts = by_code(prices)
    return min(amounts, key=lambda code: (-amounts[code], code))


def by_code(prices: list[LinePrice]) -> dict[str, Fraction]:
    """Sum the amounts of the goods by tax code [currency].

    Parameters
    ----------
    prices : list of LinePrice
        Prices of the goods.
    """
    amounts: dict[str, Fraction] = {}
    for price in prices:
        amounts[price.tax] = amounts.get(price.tax, Fraction(0)) + price.amount
    return amounts


def misses(price: LinePrice, cost: Decimal) -> bool:
    """Tell whether a list or given price earns less than its rule asks for.

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
