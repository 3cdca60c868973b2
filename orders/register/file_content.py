"""The content of the register's files: heads, one record per document, control totals at the end."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from djmoney.money import Money

from orders.invoices.models import Invoice
from orders.invoices.totals import CREDITED, OVERDUE, PART_CREDITED
from orders.records.money import from_minor
from orders.records.states import InvoiceStatus
from orders.register.rows import Control, Controls, RegisterRow, Taxes

Cell = str | Decimal | date | int | None

_HEADS: Final = (
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
_TAX_HEADS: Final = ("Taxable", "Tax")
_STANDING_HEADS: Final = ("Status", "Open")
#: Columns with long texts.
WIDE_HEADS: Final = ("Customer", "Reason")
#: What files call documents and statuses: the same in every language, as what reads the files expects.
KINDS: Final = {Invoice.Kind.INVOICE.value: "invoice", Invoice.Kind.CREDIT_NOTE.value: "credit note"}
STATUSES: Final = {
    InvoiceStatus.DRAFT.value: "draft",
    InvoiceStatus.ISSUED.value: "issued",
    InvoiceStatus.PART_PAID.value: "partly paid",
    InvoiceStatus.PAID.value: "paid",
    CREDITED: "credited",
    PART_CREDITED: "partly credited",
    OVERDUE: "overdue",
}
WORKSHEET: Final = "Register"
TITLE: Final = "Register"
#: What the owner's list of mails and files calls it.
XLSX_TITLE: Final = "Register as XLSX"
#: What the owner's list of mails and files, and the file itself, call the papers of a month.
PAPERS_TITLE: Final = "Payment requests and receipts"
CSV_TYPE: Final = "text/csv; charset=utf-8"
XLSX_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True, slots=True)
class FileContent:
    """A file's cells, to be taken in this order and once: no row is kept.

    The totals are the last records, one for each currency; they add up the records taken so far.
    """

    heads: Sequence[str]
    records: Iterator[Sequence[Cell]]
    totals: Iterator[Sequence[Cell]]


def export_title(number: int) -> str:
    """Return the title of an export's file."""
    return f"Register, export {number}"


def rate_text(rate: Decimal) -> str:
    """Write a rate as a percentage without needless zeros: the same in every locale, as a column's name has to be."""
    text = format(rate * 100, "f")
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text}%"


def file_content(rows: Iterable[RegisterRow], rates: Sequence[tuple[str, Decimal]], *, standing: bool) -> FileContent:
    """Convert rows to records while they are read; ``rates`` are all taxes of the documents, sorted.

    ``standing`` adds each document's present status: for viewing the register, and not for an export, which must not
    change. A document issued meanwhile, with a tax that has no column, is left out: it came after the file was asked
    for.
    """
    controls = Controls()
    return FileContent(
        heads_of(rates, standing=standing),
        _records(rows, rates, controls, standing),
        _totals(rates, controls, standing),
    )


def _records(
    rows: Iterable[RegisterRow], rates: Sequence[tuple[str, Decimal]], controls: Controls, standing: bool
) -> Iterator[Sequence[Cell]]:
    known = set(rates)
    for row in rows:
        if row.taxes.keys() <= known:
            controls.add(row)
            yield _record(row, rates, standing)


def _totals(rates: Sequence[tuple[str, Decimal]], controls: Controls, standing: bool) -> Iterator[Sequence[Cell]]:
    found = controls.sums()
    for control in found:
        yield _total(control, rates, standing)
    if not found:
        yield no_total(standing=standing)


def heads_of(rates: Sequence[tuple[str, Decimal]], *, standing: bool) -> list[str]:
    """Return the heads: each tax rate has two columns of its own."""
    heads = [*_HEADS, *(f"{word} {name} {rate_text(rate)}" for name, rate in rates for word in _TAX_HEADS)]
    return [*heads, *_STANDING_HEADS] if standing else heads


def _record(row: RegisterRow, rates: Sequence[tuple[str, Decimal]], standing: bool) -> list[Cell]:
    cells: list[Cell] = [KINDS[row.kind], row.number, row.issued_on, row.supply_on, row.due_on]
    cells += [row.customer, row.tax_number, row.order, row.credits, row.reason, row.currency]
    cells += [_cell(amount) for amount in (row.net, row.tax, row.total, row.prepaid, row.due)]
    cells += _tax_cells(row.taxes, rates, row.currency)
    if standing:
        cells += [", ".join(STATUSES[code] for code in row.stands), None if row.open is None else _cell(row.open)]
    return cells


def _total(control: Control, rates: Sequence[tuple[str, Decimal]], standing: bool) -> list[Cell]:
    cells = total_before_amounts(control.documents, control.currency)
    cells += [_cell(amount) for amount in (control.net, control.tax, control.total, control.prepaid, control.due)]
    cells += _tax_cells(control.taxes, rates, control.currency)
    return [*cells, None, _cell(control.open)] if standing else cells


def total_before_amounts(documents: int, currency: str) -> list[Cell]:
    """Return the cells of a control total up to its amounts."""
    return ["Control total", documents, *([None] * 8), currency]


def no_total(*, standing: bool) -> list[Cell]:
    """Return the totals without any document: no currency, and zeros."""
    cells: list[Cell] = [*total_before_amounts(0, ""), *([Decimal(0)] * 5)]
    return [*cells, None, Decimal(0)] if standing else cells


def _tax_cells(taxes: Taxes, rates: Sequence[tuple[str, Decimal]], currency: str) -> list[Cell]:
    nothing = from_minor(0, currency)
    return [_cell(amount) for rate in rates for amount in taxes.get(rate, (nothing, nothing))]


def _cell(amount: Money) -> Decimal:
    """Write money as a number with the currency's decimals."""
    number: Decimal = amount.amount
    return number
