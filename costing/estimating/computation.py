"""The computation of one Brief: quantities, costs and charges, each computed once."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from costing.contract.brief import Brief
from costing.pricing.prices import DeliveryPrice, LinePrice, delivery_price, line_prices, rates_of
from costing.pricing.totals import Charges, charges, goods_net
from costing.requirements.compiled_book import CompiledBook, LineDemand
from costing.requirements.wide_workings import WideWorkings


@dataclass(frozen=True)
class Computation:
    """The computation of one Brief with one Book. Each result is computed when it is first read, then cached.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    brief : Brief
        A Brief that was checked against it.
    """

    compiled: CompiledBook
    brief: Brief

    @cached_property
    def lines(self) -> tuple[LineDemand, ...]:
        """The lines by product code, so that their order in the Brief changes nothing."""
        lines = sorted(self.brief.lines, key=lambda line: line.product)
        return tuple(self.compiled.line_demand(self.compiled.product_at[line.product], line.units) for line in lines)

    @cached_property
    def workings(self) -> WideWorkings:
        """Quantities and costs of the lines."""
        return WideWorkings(self.compiled, self.lines, self.brief.date)

    @cached_property
    def rates(self) -> dict[str, Fraction]:
        """Tax rates in force [share]."""
        return rates_of(self.compiled, self.brief)

    @cached_property
    def prices(self) -> list[LinePrice]:
        """How each line is priced."""
        return line_prices(self.compiled, self.brief, self.workings, self.rates)

    @cached_property
    def delivery(self) -> DeliveryPrice | None:
        """How delivery is priced."""
        return delivery_price(self.compiled, self.brief, self.prices, self.rates)

    @cached_property
    def charged(self) -> Charges:
        """What is charged [minor units]."""
        return charges(self.compiled, self.brief, self.prices, self.delivery)

    @cached_property
    def goods_net(self) -> Fraction:
        """Net revenue of the goods [currency]."""
        return goods_net(self.compiled, self.charged, self.rates)

    def with_units(self, product: str, units: int) -> Computation:
        """Return the workings of the same Brief with another number of units of one product.

        Parameters
        ----------
        product : str
            Code of a product of the Brief.
        units : int
            Units asked for instead [each].
        """
        given = next(line.unit_price for line in self.brief.lines if line.product == product)
        return Computation(self.compiled, self.brief.with_line(product, units=units, unit_price=given))
