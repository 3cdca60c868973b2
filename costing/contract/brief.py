"""The Brief: what a customer asks for, and when."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from fractions import Fraction

from costing.contract.book import ZERO


@dataclass(frozen=True, slots=True)
class BriefLine:
    """One product and how many units of it; `unit_price` only when given by hand [currency]."""

    product: str
    units: int
    unit_price: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Extra:
    """One-off work or hire: what it costs and what is charged for it [currency]."""

    code: str
    cost: Fraction
    amount: Fraction
    tax: str


@dataclass(frozen=True, slots=True)
class DeliveryTerms:
    """The way to the place: distance [km], time [min] one way, crew [people] and set-up [min]."""

    km: Fraction
    minutes: Fraction
    crew: int
    setup_minutes: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class Brief:
    """What is asked for. `date` is the costing date; taxes are those of `supply_date`, or of `date` without it."""

    date: datetime.date
    lines: tuple[BriefLine, ...]
    supply_date: datetime.date | None = None
    customer_kind: str | None = None
    tax_exempt: bool = False
    extras: tuple[Extra, ...] = ()
    delivery: DeliveryTerms | None = None
    discount: Fraction = ZERO
    rush: bool = False

    @property
    def tax_date(self) -> datetime.date:
        """The day whose tax rates are in force."""
        return self.supply_date or self.date

    def with_line(self, product: str, *, units: int, unit_price: Fraction | None = None) -> Brief:
        """Give the same Brief with another quantity or price of one product, for asking what if.

        Parameters
        ----------
        product : str
            Code of the product; a new line is added when the Brief has none of it.
        units : int
            Units asked for [each]; 0 takes the line out.
        unit_price : Fraction, optional
            Price given by hand [currency]; left to list price and rule without it.

        Returns
        -------
        Brief
            The other lines are as they were.
        """
        changed = BriefLine(product, units, unit_price)
        lines = tuple(changed if line.product == product else line for line in self.lines)
        if all(line.product != product for line in self.lines):
            lines = (*self.lines, changed)
        return replace(self, lines=tuple(line for line in lines if line.units or line.product != product))
