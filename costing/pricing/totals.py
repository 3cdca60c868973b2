"""The totals of an order: discount, surcharge, minimum, delivery, extras, taxes, margins."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.contract.brief import Brief
from costing.contract.estimate import TaxEstimate
from costing.measures.numbers import wide
from costing.money.allocation import allocate, sum_by_code
from costing.money.rounding import half_up_ratio
from costing.pricing.prices import DeliveryPrice, LinePrice, by_code
from costing.requirements.compiled_book import CompiledBook
from costing.requirements.wide_workings import CLOSE, WideWorkings

ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Charges:
    """The charges of an order [minor units], by tax code where an amount is split."""

    goods: dict[str, int]
    discount: int
    surcharge: int
    top_up: int
    adjustment: dict[str, int]
    delivery: dict[str, int]
    extras: dict[str, int]

    def of(self, code: str) -> int:
        """Return the total charged under one tax code [minor units].

        Parameters
        ----------
        code : str
            Code of the tax.
        """
        parts = (self.goods, self.adjustment, self.delivery, self.extras)
        return sum(part.get(code, 0) for part in parts)

    @property
    def codes(self) -> list[str]:
        """Tax codes in use, sorted."""
        return sorted({*self.goods, *self.delivery, *self.extras})


def charges(compiled: CompiledBook, brief: Brief, prices: list[LinePrice], delivery: DeliveryPrice | None) -> Charges:
    """Compute the charges, split over the tax codes of the goods.

    Parameters
    ----------
    compiled : CompiledBook
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
        Whole minor units; the parts of every split add up to its amount.
    """
    scale = compiled.scale
    amounts = by_code(prices)
    goods = sum(amounts.values())
    discount = _share_of(brief.discount, goods)
    surcharge = _share_of(compiled.kitchen.rush_rate, goods) if brief.rush else 0
    top_up = max(0, compiled.order_minimum - (goods - discount))
    return Charges(
        goods=amounts,
        discount=discount,
        surcharge=surcharge,
        top_up=top_up,
        adjustment=allocate(surcharge - discount + top_up, amounts),
        delivery=_delivery(compiled, amounts, delivery, scale),
        extras=sum_by_code((extra.tax, int(extra.amount * scale)) for extra in brief.extras),
    )


def _share_of(share: Fraction, amount: int) -> int:
    return half_up_ratio(share.numerator * amount, share.denominator)


def _delivery(
    compiled: CompiledBook, amounts: dict[str, int], delivery: DeliveryPrice | None, scale: int
) -> dict[str, int]:
    if delivery is None or compiled.delivery is None:
        return {}
    price = int(delivery.price * scale)
    if compiled.delivery.tax == "goods":
        return allocate(price, amounts)
    return {compiled.delivery.tax: price}


def taxes(compiled: CompiledBook, charged: Charges, rates: dict[str, Fraction]) -> tuple[TaxEstimate, ...]:
    """Compute the tax of each code, rounded once per code on the sum.

    Parameters
    ----------
    compiled : CompiledBook
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
    scale = compiled.scale
    found = []
    for code in charged.codes:
        rate, amount = rates[code], charged.of(code)
        if compiled.kitchen.prices == "gross":
            tax = half_up_ratio(amount * rate.numerator, rate.denominator + rate.numerator)
            taxable = amount - tax
        else:
            tax, taxable = half_up_ratio(amount * rate.numerator, rate.denominator), amount
        found.append(TaxEstimate(code, rate, Fraction(taxable, scale), Fraction(tax, scale)))
    return tuple(found)


def goods_net(compiled: CompiledBook, charged: Charges, rates: dict[str, Fraction]) -> Fraction:
    """Return the net revenue of the goods after discount, surcharge and minimum [currency].

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    charged : Charges
        What is charged.
    rates : dict of str to Fraction
        Tax rates by code [share].
    """
    net = Fraction(0)
    for code, amount in charged.goods.items():
        factor = compiled.gross_factor(rates[code])
        net += Fraction((amount + charged.adjustment[code]) * factor.denominator, compiled.scale * factor.numerator)
    return net


def is_below_floor(compiled: CompiledBook, workings: WideWorkings, net: Fraction) -> bool:
    """Return whether the goods earn less than the floor margin; True without revenue.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    workings : WideWorkings
        Costs of the lines.
    net : Fraction
        Net revenue of the goods [currency].
    """
    if not net:
        return True
    allowed = net * (1 - compiled.kitchen.floor_margin)
    gap = workings.cost - wide(allowed)
    if abs(gap) > CLOSE * max(workings.cost, ONE):
        return gap > 0
    return workings.exact.cost > allowed
