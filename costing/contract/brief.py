"""The Brief: what a customer asks for, for which day."""

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
    """One-off work or rental: its cost and its charge [currency]."""

    code: str
    cost: Fraction
    amount: Fraction
    tax: str


@dataclass(frozen=True, slots=True)
class DeliveryTerms:
    """The trip to the place: distance [km] and time [min] one way, crew [people] and set-up [min]."""

    km: Fraction
    minutes: Fraction
    crew: int
    setup_minutes: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class Brief:
    """An order to compute. `date` is the costing date; taxes are those of `supply_date`, or of `date` without it."""

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
        """Return the same Brief with another quantity or price of one product, for a what-if comparison.

        Parameters
        ----------
        product : str
            Code of the product; a new line is added when the Brief has none of it.
        units : int
            Units asked for [each]; 0 removes the line.
        unit_price : Fraction, optional
            Price given by hand [currency]; without it the list price or the rule decides.

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
