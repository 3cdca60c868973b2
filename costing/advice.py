"""What the owner should look at before sending a quote."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from costing.book import PriceRule
from costing.compiled import wide
from costing.errors import pointer
from costing.estimates import Advice
from costing.pricing import LinePrice, misses
from costing.totals import is_below_floor

if TYPE_CHECKING:
    from costing.engine import Order

WORTH_A_LOOK = Decimal("0.25")


def warnings_of(order: Order) -> tuple[Advice, ...]:
    """Find what the owner should look at.

    Parameters
    ----------
    order : Order
        A computed order.

    Returns
    -------
    tuple of Advice
        In a fixed order: floor, lines by product code, ingredients by place in the Book.
    """
    found: list[Advice] = []
    if is_below_floor(order.compiled, order.workings, order.goods_net):
        floor = order.compiled.kitchen.floor_margin
        found.append(
            Advice(
                "below_floor",
                "brief#",
                f"The goods earn less than the floor margin of {_percent(floor)}. The owner has to agree to it.",
            )
        )
    found.extend(_lines(order))
    found.extend(_leftovers(order))
    return tuple(found)


def _percent(share: Fraction) -> str:
    return f"{float(share) * 100:.4g} %"


def _lines(order: Order) -> list[Advice]:
    found = []
    place = {line.product: at for at, line in enumerate(order.brief.lines)}
    for at, price in enumerate(order.prices):
        item = order.compiled.products[order.lines[at].product]
        if misses(price, order.workings.line_costs[at].cost):
            found.append(
                Advice(
                    "below_target",
                    pointer("brief", ("lines", place[item.code])),
                    f"{item.name}: the {'given' if price.basis == 'given' else 'list'} price misses the margin of"
                    f" {_percent(price.rule.margin)} the rule “{price.rule.code}” asks for.",
                )
            )
        more = _larger_for_less(order, at, price)
        if more is not None:
            found.append(
                Advice(
                    "more_costs_less",
                    pointer("brief", ("lines", place[item.code], "units")),
                    f"{item.name}: {more} units would be charged less than {order.lines[at].units}.",
                )
            )
    return found


def _larger_for_less(order: Order, at: int, price: LinePrice) -> int | None:
    """Find the least quantity above the one asked for at which a better tier makes the whole line cheaper.

    A list or given price does not change with the quantity, so more always costs more. Under a rule the amount can
    only fall where another rule takes over, which happens at the quantity that reaches its `from_units`.
    """
    if price.basis != "rule":
        return None
    line = order.lines[at]
    item = order.compiled.products[line.product]
    for units in sorted(_thresholds(order, at, price.rule)):
        units = -(-units // item.sale_multiple) * item.sale_multiple
        if units <= line.units or not _worth_trying(order, at, price, units):
            continue
        larger = order.with_units(item.code, units)
        if larger.prices[at].amount < price.amount:
            return units
    return None


def _thresholds(order: Order, at: int, rule: PriceRule) -> set[int]:
    """Give the quantities of a line at which a rule that goes before the present one begins to match."""
    compiled, line = order.compiled, order.lines[at]
    found = set()
    for better in compiled.rules_for(line.product, order.brief.customer_kind):
        if better.code == rule.code:
            break
        others = sum(
            other.units for i, other in enumerate(order.lines) if i != at and compiled.covers(better, other.product)
        )
        found.add(better.from_units - others)
    return found


def _worth_trying(order: Order, at: int, price: LinePrice, units: int) -> bool:
    """Rule out a larger quantity by what its unit price cannot be below, before working the order out again.

    Packaging bought by what is used and work per unit are the same for every unit; whatever else the line costs, its
    amount is at least those over all units. Rules that go before the present one give the least margin to count with.
    """
    line, compiled = order.lines[at], order.compiled
    row = compiled.wide.products[line.product]
    better = []
    for rule in compiled.rules_for(line.product, order.brief.customer_kind):
        if rule.code == price.rule.code:
            break
        better.append(rule)
    margin = min(rule.margin for rule in better)
    minimum = min(rule.minimum for rule in better)
    if minimum * units >= price.amount:
        return False
    bound = row.pay_unit * units / wide(1 - margin)
    return bound < wide(price.amount)


def _leftovers(order: Order) -> list[Advice]:
    found = []
    for at, purchase in order.workings.purchases.items():
        if purchase.packs is None:
            continue
        bought = wide(purchase.bought)
        spare = bought - purchase.needed
        if purchase.cost and spare > WORTH_A_LOOK * bought:
            item = order.compiled.ingredients[at]
            found.append(
                Advice(
                    "leftover",
                    pointer("book", ("ingredients", at)),
                    f"{item.name}: more than a quarter of what is paid for the packs is left over.",
                )
            )
    return found
