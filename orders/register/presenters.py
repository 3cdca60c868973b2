"""The register's filter as a sentence, ready-made filters, and the control totals."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final
from urllib.parse import urlencode

from djmoney.money import Money

from catalog.outbox.models import Outbox
from catalog.outbox.presenters import work_problem
from catalog.web import display
from orders.invoices.models import Invoice
from orders.register.file_content import rate_text
from orders.register.files import XLSX_MOST
from orders.register.filters import RegisterFilter, month_of
from orders.register.models import ExportBatch
from orders.register.totals import RegisterTotals

_KINDS: Final = {kind: f"{name}s".capitalize() for kind, name in Invoice.Kind.choices}
_STANDINGS: Final = {"open": "not paid", "overdue": "overdue", "paid": "paid"}


def filter_sentence(chosen: RegisterFilter) -> str:
    """Write the filter as a sentence."""
    parts = [f"{_KINDS.get(chosen.kind, 'Invoices and credit notes')}{_issued(chosen)}"]
    if chosen.standing in _STANDINGS:
        parts.append(_STANDINGS[chosen.standing])
    if chosen.exported == "no":
        parts.append("in no export yet")
    if chosen.find:
        parts.append(f"with “{chosen.find}” in number, order or customer")
    return ", ".join(parts)


def _issued(chosen: RegisterFilter) -> str:
    first, last = chosen.first, chosen.last
    if first and last and month_of(first) == (first, last):
        return f" issued in {display.month(first)} {first.year}"
    words = f" issued from {display.day(first)}" if first else ""
    return words + (f"{'' if words else ' issued'} up to {display.day(last)}" if last else "")


@dataclass(frozen=True)
class ReadyFilter:
    """A filter in words and its address."""

    words: str
    query: str
    current: bool


def ready_filters(chosen: RegisterFilter, *, today: date) -> list[ReadyFilter]:
    """List the most common filters, as sentences."""
    this = month_of(today)
    before = month_of(this[0] - timedelta(days=1))
    lately = RegisterFilter(first=before[0], last=before[1])
    ready = [
        ("everything", RegisterFilter()),
        ("not paid", RegisterFilter(standing="open")),
        ("overdue", RegisterFilter(standing="overdue")),
        (f"issued in {display.month(this[0])}", RegisterFilter(first=this[0], last=this[1])),
        (f"issued in {display.month(before[0])}", lately),
        (f"issued in {display.month(before[0])}, not paid", replace(lately, standing="open")),
        ("credit notes", RegisterFilter(kind=Invoice.Kind.CREDIT_NOTE)),
        ("in no export yet", RegisterFilter(exported="no")),
    ]
    return [ReadyFilter(words, _query(one), one == chosen) for words, one in ready]


def _query(chosen: RegisterFilter) -> str:
    return urlencode({name: str(value) for name, value in vars(chosen).items() if value})


@dataclass(frozen=True)
class TaxRow:
    """The sums of one tax and rate."""

    name: str
    taxable: Money
    tax: Money


@dataclass(frozen=True)
class TotalsTable:
    """The totals of one currency, with a row for each tax rate."""

    sums: RegisterTotals
    taxes: list[TaxRow]


def totals_tables(totals: Iterable[RegisterTotals]) -> list[TotalsTable]:
    """Return the totals, one table per currency."""
    return [
        TotalsTable(sums, [TaxRow(f"{one.name} {rate_text(one.rate)}", one.taxable, one.tax) for one in sums.taxes])
        for sums in totals
    ]


@dataclass(frozen=True)
class ExportShown:
    """An export, and in words what there is to know about its files."""

    batch: ExportBatch
    words: str
    failed: bool = False
    waiting: bool = False


def exports_shown(batches: Iterable[ExportBatch], work: Mapping[int, Outbox]) -> list[ExportShown]:
    """Write how far the files of exports are."""
    return [_export_shown(batch, work.get(batch.pk)) for batch in batches]


def _export_shown(batch: ExportBatch, work: Outbox | None) -> ExportShown:
    if batch.csv_id is not None:
        return ExportShown(batch, "" if batch.xlsx_id is not None else f"No XLSX above {XLSX_MOST:,} documents.")
    if work is not None and work.status == Outbox.Status.FAILED:
        return ExportShown(batch, f"Could not be written. {work_problem(work)}".strip(), failed=True)
    return ExportShown(batch, "Being written", waiting=True)
