"""The register as plain rows, and control totals by currency."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from djmoney.money import Money

from orders.records.money import add_up

#: (tax name, rate) -> (taxable, tax), signed: a credit note counts below zero.
Taxes = dict[tuple[str, Decimal], tuple[Money, Money]]


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One issued document; ``kind`` and ``status`` are codes, amounts are signed."""

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
    status: str = ""
    open: Money | None = None
    taxes: Taxes = field(default_factory=dict)
    pk: int = 0


@dataclass(frozen=True, slots=True)
class Control:
    """The control totals of documents in one currency."""

    currency: str
    documents: int
    net: Money
    tax: Money
    total: Money
    prepaid: Money
    due: Money
    open: Money
    taxes: Taxes


def control_of(rows: Iterable[RegisterRow], currency: str) -> Control:
    """Sum documents.

    Raises TypeError when one of them is in another currency.
    """
    every = list(rows)
    return Control(
        currency=currency,
        documents=len(every),
        net=add_up((row.net for row in every), currency),
        tax=add_up((row.tax for row in every), currency),
        total=add_up((row.total for row in every), currency),
        prepaid=add_up((row.prepaid for row in every), currency),
        due=add_up((row.due for row in every), currency),
        open=add_up((row.open for row in every if row.open is not None), currency),
        taxes=_taxes_of(every, currency),
    )


def controls_of(rows: Iterable[RegisterRow]) -> list[Control]:
    """Sum documents by currency."""
    by_currency: dict[str, list[RegisterRow]] = {}
    for row in rows:
        by_currency.setdefault(row.currency, []).append(row)
    return [control_of(found, currency) for currency, found in sorted(by_currency.items())]


def _taxes_of(rows: Iterable[RegisterRow], currency: str) -> Taxes:
    by_rate: dict[tuple[str, Decimal], list[tuple[Money, Money]]] = {}
    for row in rows:
        for rate, sums in row.taxes.items():
            by_rate.setdefault(rate, []).append(sums)
    return {
        rate: (add_up((one[0] for one in by_rate[rate]), currency), add_up((one[1] for one in by_rate[rate]), currency))
        for rate in sorted(by_rate)
    }
