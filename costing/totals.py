"""What an order adds up to: discount, surcharge, minimum, delivery, extras, taxes, margins."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.brief import Brief
from costing.compiled import Compiled
from costing.estimates import TaxEstimate
from costing.money import half_up, split
from costing.pricing import DeliveryPrice, LinePrice, by_code, gross_factor
from costing.tables import wide
from costing.workings import CLOSE, Wide


@dataclass(frozen=True, slots=True)
class Charges:
    """What is charged [minor units], by tax code where it is split."""

    goods: dict[str, int]
    discount: int
    surcharge: int
    top_up: int
    adjustment: dict[str, int]
    delivery: dict[str, int]
    extras: dict[str, int]

    def of(self, code: str) -> int:
        """Give all that is charged under one tax code [minor units]."""
        parts = (self.goods, self.adjustment, self.delivery, self.extras)
        return sum(part.get(code, 0) for part in parts)

    @property
    def codes(self) -> list[str]:
        """Tax codes in use, sorted."""
        return sorted({*self.goods, *self.delivery, *self.extras})


def charges(compiled: Compiled, brief: Brief, prices: list[LinePrice], delivery: DeliveryPrice | None) -> Charges:
    """Work out what is charged, split over the tax codes of the goods.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    brief : Brief
        Discount, rush, extras.
    prices : list of LinePrice
        Prices of the goods.
    delivery : DeliveryPrice, optional
        Price of delivery.

    Returns
    -------
    Charges
        Whole minor units throughout; every split adds up to what is split.
    """
    scale = 10**compiled.digits
    amounts = by_code(prices)
    goods = sum(amounts.values(), Fraction(0))
    discount = half_up(brief.discount * goods * scale)
    surcharge = half_up(compiled.kitchen.rush_rate * goods * scale) if brief.rush else 0
    top_up = max(0, int(compiled.kitchen.order_minimum * scale) - (int(goods * scale) - discount))
    extras: dict[str, int] = {}
    for extra in brief.extras:
        extras[extra.tax] = extras.get(extra.tax, 0) + int(extra.amount * scale)
    return Charges(
        goods={code: int(amount * scale) for code, amount in amounts.items()},
        discount=discount,
        surcharge=surcharge,
        top_up=top_up,
        adjustment=split(surcharge - discount + top_up, amounts),
        delivery=_delivery(compiled, amounts, delivery, scale),
        extras=extras,
    )


def _delivery(
    compiled: Compiled, amounts: dict[str, Fraction], delivery: DeliveryPrice | None, scale: int
) -> dict[str, int]:
    if delivery is None or compiled.delivery is None:
        return {}
    price = int(delivery.price * scale)
    if compiled.delivery.tax == "goods":
        return split(price, amounts)
    return {compiled.delivery.tax: price}


def taxes(compiled: Compiled, charged: Charges, rates: dict[str, Fraction]) -> tuple[TaxEstimate, ...]:
    """Work out the tax of each code, rounded once per code on the sum.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    charged : Charges
        What is charged.
    rates : dict of str to Fraction
        Tax rates by code [share].

    Returns
    -------
    tuple of TaxEstimate
        Sorted by code [currency].

    References
    ----------
    EN 16931, BR-CO-17 (tax of a category = taxable amount × rate, rounded); half up on the absolute value as the
    official Schematron computes it.
    """
    scale = 10**compiled.digits
    found = []
    for code in charged.codes:
        rate, amount = rates[code], charged.of(code)
        if compiled.kitchen.prices == "gross":
            tax = half_up(amount * rate / (1 + rate))
            taxable = amount - tax
        else:
            tax, taxable = half_up(amount * rate), amount
        found.append(TaxEstimate(code, rate, Fraction(taxable, scale), Fraction(tax, scale)))
    return tuple(found)


def goods_net(compiled: Compiled, charged: Charges, rates: dict[str, Fraction]) -> Fraction:
    """Give the net revenue of the goods after discount, surcharge and minimum [currency].

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    charged : Charges
        What is charged.
    rates : dict of str to Fraction
        Tax rates by code [share].
    """
    scale: int = 10**compiled.digits
    nets = ((charged.goods[c] + charged.adjustment[c]) / gross_factor(compiled, rates[c]) for c in charged.goods)
    return sum(nets, Fraction(0)) / scale


def is_below_floor(compiled: Compiled, workings: Wide, net: Fraction) -> bool:
    """Tell whether the goods earn less than the floor margin; without revenue they do.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    workings : Wide
        Costs of the lines.
    net : Fraction
        Net revenue of the goods [currency].
    """
    if not net:
        return True
    allowed = net * (1 - compiled.kitchen.floor_margin)
    gap = workings.cost - wide(allowed)
    if abs(gap) > CLOSE * max(workings.cost, Decimal(1)):
        return gap > 0
    return workings.exact.cost > allowed
