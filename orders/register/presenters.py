"""The register's filter as a sentence, ready-made filters, and the control totals."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final
from urllib.parse import urlencode

from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as marked
from djmoney.money import Money

from catalog.outbox.models import Outbox
from catalog.outbox.presenters import work_problem
from catalog.web import display
from orders.invoices.models import Invoice
from orders.register.files import XLSX_MOST
from orders.register.filters import RegisterFilter, month_of
from orders.register.models import ExportBatch
from orders.register.totals import RegisterTotals

#: Order of the register -> its name.
REGISTER_SORTS: Final = {"latest": gettext_lazy("latest issued"), "oldest": gettext_lazy("oldest issued")}
_KINDS: Final[dict[str, str]] = {
    Invoice.Kind.INVOICE: marked("Invoices"),
    Invoice.Kind.CREDIT_NOTE: marked("Credit notes"),
}
_BOTH: Final = marked("Invoices and credit notes")
_STANDINGS: Final = {"open": marked("not paid"), "overdue": marked("overdue"), "paid": marked("paid")}


def filter_sentence(chosen: RegisterFilter) -> str:
    """Write the filter in words."""
    parts = [
        _issued(chosen)
        % {"documents": gettext(next((text for kind, text in _KINDS.items() if kind == chosen.kind), _BOTH))}
    ]
    if chosen.standing in _STANDINGS:
        parts.append(gettext(_STANDINGS[chosen.standing]))
    if chosen.exported == "no":
        parts.append(gettext("not exported yet"))
    if chosen.find:
        parts.append(gettext("with “%(text)s” in number, order or customer") % {"text": chosen.find})
    return ", ".join(parts)


def _issued(chosen: RegisterFilter) -> str:
    first, last = chosen.first, chosen.last
    if first and last and month_of(first) == (first, last):
        return gettext("%%(documents)s issued in %(month)s") % {"month": f"{display.month(first)} {first.year}"}
    days = {"first": first and display.day(first), "last": last and display.day(last)}
    if first and last:
        return gettext("%%(documents)s issued %(first)s to %(last)s") % days
    if first:
        return gettext("%%(documents)s issued on or after %(first)s") % days
    if last:
        return gettext("%%(documents)s issued on or before %(last)s") % days
    return "%(documents)s"


@dataclass(frozen=True)
class ReadyFilter:
    """A filter in words and its address."""

    words: str
    query: str
    current: bool


def ready_filters(chosen: RegisterFilter, *, today: date) -> list[ReadyFilter]:
    """List the most common filters."""
    this = month_of(today)
    before = month_of(this[0] - timedelta(days=1))
    lately = RegisterFilter(first=before[0], last=before[1])
    not_paid = replace(lately, standing="open")
    issued = gettext("Issued in %(month)s")
    ready = [
        (gettext("All documents"), RegisterFilter()),
        (gettext("Not paid"), RegisterFilter(standing="open")),
        (gettext("Overdue"), RegisterFilter(standing="overdue")),
        (issued % {"month": display.month(this[0])}, RegisterFilter(first=this[0], last=this[1])),
        (issued % {"month": display.month(before[0])}, lately),
        (gettext("Issued in %(month)s, not paid") % {"month": display.month(before[0])}, not_paid),
        (gettext("Credit notes"), RegisterFilter(kind=Invoice.Kind.CREDIT_NOTE)),
        (gettext("Not exported"), RegisterFilter(exported="no")),
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
        TotalsTable(sums, [TaxRow(f"{one.name} {display.rate(one.rate)}", one.taxable, one.tax) for one in sums.taxes])
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
        no_xlsx = gettext("No XLSX above %(most)s documents.") % {"most": display.plain(XLSX_MOST)}
        return ExportShown(batch, "" if batch.xlsx_id is not None else no_xlsx)
    if work is not None and work.status == Outbox.Status.FAILED:
        problem = f"{gettext('The files could not be written.')} {work_problem(work)}".strip()
        return ExportShown(batch, problem, failed=True)
    return ExportShown(batch, gettext("Being written"), waiting=True)
