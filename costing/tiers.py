"""Whether a larger quantity of a line would be charged less, because a better price rule takes over there."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from costing.book import PriceRule
from costing.pricing import LinePrice
from costing.tables import wide

if TYPE_CHECKING:
    from costing.engine import Order


def larger_for_less(order: Order, at: int) -> int | None:
    """Find the least larger quantity at which a better rule makes the whole line cheaper.

    A list or given price does not change with the quantity, so more of it always costs more. Under one rule, a line's
    cost does not fall as its quantity grows. So the amount can only fall where another rule takes over, which happens
    at the quantity that reaches its `from_units`; those quantities are worked out in full.

    Parameters
    ----------
    order : Order
        A computed order.
    at : int
        Place of the line.

    Returns
    -------
    int or None
        Units; None when no larger quantity is charged less.
    """
    price, line = order.prices[at], order.lines[at]
    better = _better_rules(order, at, price.rule)
    if price.basis != "rule" or not better:
        return None
    item = order.compiled.products[line.product]
    for wanted in sorted({_reached_at(order, at, rule) for rule in better}):
        units = -(-wanted // item.sale_multiple) * item.sale_multiple
        if units > line.units and _may_be_less(order, at, price, better, units):
            larger = order.with_units(item.code, units)
            if larger.prices[at].amount < price.amount:
                return units
    return None


def _better_rules(order: Order, at: int, present: PriceRule) -> list[PriceRule]:
    """Give the rules that go before the present one and would win with more units."""
    fitting = order.compiled.rules_for(order.lines[at].product, order.brief.customer_kind)
    return list(fitting[: fitting.index(present)])


def _reached_at(order: Order, at: int, rule: PriceRule) -> int:
    """Give the units of a line with which all lines a rule matches reach its `from_units`."""
    covers = order.compiled.covers
    others = sum(line.units for i, line in enumerate(order.lines) if i != at and covers(rule, line.product))
    return rule.from_units - others


def _may_be_less(order: Order, at: int, price: LinePrice, better: list[PriceRule], units: int) -> bool:
    """Rule a larger quantity out by the least it can be charged, before the whole order is worked out again."""
    compiled, item = order.compiled, order.compiled.products[order.lines[at].product]
    factor = compiled.gross_factor(order.rates[item.tax])
    amount = Fraction(price.amount, compiled.scale)
    if min(units * rule.minimum for rule in better) >= amount:
        return False
    margin = min(rule.margin for rule in better)
    unit_cost = compiled.unit_floors_on(order.brief.date)[order.lines[at].product]
    return unit_cost * units * wide(factor / (1 - margin)) < wide(amount)
