"""What the owner should look at before sending a quote."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from costing.contract.errors import pointer
from costing.contract.estimate import Advice
from costing.estimating.tiers import larger_for_less
from costing.pricing.prices import misses
from costing.pricing.totals import is_below_floor

if TYPE_CHECKING:
    from costing.estimating.engine import OrderComputation

WORTH_A_LOOK = Decimal("0.25")


def warnings_of(order: OrderComputation) -> tuple[Advice, ...]:
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


def _lines(order: OrderComputation) -> list[Advice]:
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
        more = larger_for_less(order, at)
        if more is not None:
            found.append(
                Advice(
                    "more_costs_less",
                    pointer("brief", ("lines", place[item.code], "units")),
                    f"{item.name}: {more} units would be charged less than {order.lines[at].units}.",
                )
            )
    return found


def _leftovers(order: OrderComputation) -> list[Advice]:
    found = []
    for at, purchase in sorted(order.workings.varying.items()):
        if purchase.basket is None:
            continue
        bought = purchase.basket.wide_bought
        if purchase.cost and bought - purchase.needed > WORTH_A_LOOK * bought:
            item = order.compiled.ingredients[at]
            found.append(
                Advice(
                    "leftover",
                    pointer("book", ("ingredients", at)),
                    f"{item.name}: more than a quarter of what is paid for the packs is left over.",
                )
            )
    return found
