"""The register as plain rows: what a document is to the bookkeeper, and the sums to tick off."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from costing.money.rounding import minor_digits

Cell = str | Decimal | date | int | None

#: (tax name, rate) -> (taxable, tax), signed: a credit note counts below zero.
Taxes = dict[tuple[str, Decimal], tuple[int, int]]


@dataclass(frozen=True)
class RegisterRow:
    """One issued document; amounts are signed minor units."""

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
    net: int
    tax: int
    total: int
    prepaid: int
    due: int
    status: str = ""
    open: int | None = None
    taxes: Taxes = field(default_factory=dict)
    pk: int = 0


@dataclass(frozen=True)
class Control:
    """What a file adds up to."""

    documents: int
    net: int
    tax: int
    total: int
    taxes: Taxes


def control_of(rows: Iterable[RegisterRow]) -> Control:
    """Add rows up, all in one currency."""
    count = net = tax = total = 0
    taxes: Taxes = {}
    for row in rows:
        count, net, tax, total = count + 1, net + row.net, tax + row.tax, total + row.total
        for key, (taxable, amount) in row.taxes.items():
            before = taxes.get(key, (0, 0))
            taxes[key] = (before[0] + taxable, before[1] + amount)
    return Control(count, net, tax, total, dict(sorted(taxes.items())))


def rate_text(rate: Decimal) -> str:
    """Write a rate as a percentage without needless zeros."""
    text = format(rate * 100, "f")
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} %"


def table_of(rows: Sequence[RegisterRow], *, standing: bool) -> tuple[list[str], list[list[Cell]], list[Cell]]:
    """Lay rows out: heads, one record a document, and the record of totals.

    Each tax rate has two columns of its own. ``standing`` adds where each document stands now: right for a look at
    the register, and left out of an export that must stay as it is.
    """
    control = control_of(rows)
    heads = [*_HEADS, *(f"{word} {name} {rate_text(rate)}" for name, rate in control.taxes for word in _TAX_WORDS)]
    heads += ["Status", "Open"] if standing else []
    return heads, [_record(row, control, standing) for row in rows], _totals(rows, control, standing)


_HEADS = (
    "Document",
    "Number",
    "Issued",
    "Supplied",
    "Due",
    "Customer",
    "Customer tax number",
    "Order",
    "Credits invoice",
    "Reason",
    "Currency",
    "Net",
    "Tax",
    "Total",
    "Paid before issue",
    "To pay",
)
_TAX_WORDS = ("Taxable", "Tax")


def money_cell(minor: int, currency: str) -> Decimal:
    """Write minor units as a number with the currency's decimals."""
    return Decimal(minor).scaleb(-minor_digits(currency))


def _record(row: RegisterRow, control: Control, standing: bool) -> list[Cell]:
    def money(minor: int) -> Decimal:
        return money_cell(minor, row.currency)

    cells: list[Cell] = [row.kind, row.number, row.issued_on, row.supply_on, row.due_on, row.customer, row.tax_number]
    cells += [row.order, row.credits, row.reason, row.currency]
    cells += [money(minor) for minor in (row.net, row.tax, row.total, row.prepaid, row.due)]
    for key in control.taxes:
        cells += [money(minor) for minor in row.taxes.get(key, (0, 0))]
    if standing:
        cells += [row.status, None if row.open is None else money(row.open)]
    return cells


def _totals(rows: Sequence[RegisterRow], control: Control, standing: bool) -> list[Cell]:
    currency = rows[0].currency if rows else "XXX"

    def money(minor: int) -> Decimal:
        return money_cell(minor, currency) if rows else Decimal(minor)

    cells: list[Cell] = ["Control total", control.documents, *([None] * 8), currency if rows else ""]
    cells += [money(minor) for minor in (control.net, control.tax, control.total)]
    cells += [money(sum(row.prepaid for row in rows)), money(sum(row.due for row in rows))]
    cells += [money(minor) for sums in control.taxes.values() for minor in sums]
    if standing:
        cells += [None, money(sum(row.open or 0 for row in rows))]
    return cells
