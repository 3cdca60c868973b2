"""The register as plain rows, and control totals by currency."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Final

from djmoney.money import Money

from orders.records.money import add_up, from_minor

#: (tax name, rate) -> (taxable, tax), signed: a credit note counts below zero.
Taxes = dict[tuple[str, Decimal], tuple[Money, Money]]


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One issued document; ``kind`` and how it ``stands`` are codes, amounts are signed."""

    kind: str
    number: str
    issued_on: date | None
    supply_on: date
    due_on: date | None
    customer: str
    tax_number: str
    order: str
    credits: str
    reason: str
    currency: str
    net: Money
    tax: Money
    total: Money
    prepaid: Money
    due: Money
    stands: tuple[str, ...] = ()
    open: Money | None = None
    taxes: Taxes = field(default_factory=dict)
    pk: int = 0

    @property
    def status(self) -> str:
        """The first of how it stands; empty where that was not read."""
        return next(iter(self.stands), "")


#: Amounts of a row that are added up.
_ADDED: Final = ("net", "tax", "total", "prepaid", "due")


@dataclass(slots=True)
class Control:
    """The control totals of documents in one currency: the sums of all rows added to it."""

    currency: str
    net: Money
    tax: Money
    total: Money
    prepaid: Money
    due: Money
    open: Money
    documents: int = 0
    taxes: Taxes = field(default_factory=dict)

    def add(self, row: RegisterRow) -> None:
        """Add a document.

        Raises TypeError when it is in another currency.
        """
        for name in _ADDED:
            setattr(self, name, self._sum(getattr(self, name), getattr(row, name)))
        if row.open is not None:
            self.open = self._sum(self.open, row.open)
        for rate, (taxable, tax) in row.taxes.items():
            nothing = from_minor(0, self.currency)
            so_far = self.taxes.get(rate, (nothing, nothing))
            self.taxes[rate] = (self._sum(so_far[0], taxable), self._sum(so_far[1], tax))
        self.documents += 1

    def _sum(self, one: Money, other: Money) -> Money:
        return add_up((one, other), self.currency)


class Controls:
    """Control totals that run along while rows are written: one for each currency."""

    def __init__(self) -> None:
        self._by_currency: dict[str, Control] = {}

    def add(self, row: RegisterRow) -> None:
        """Add a document to its currency's."""
        control = self._by_currency.get(row.currency)
        if control is None:
            nothing = from_minor(0, row.currency)
            control = Control(row.currency, nothing, nothing, nothing, nothing, nothing, nothing)
            self._by_currency[row.currency] = control
        control.add(row)

    def sums(self) -> list[Control]:
        """Return what was added up so far, by currency."""
        return [control for _, control in sorted(self._by_currency.items())]
