"""The register's pages and rows, drafts that wait, and the list of exports."""

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import islice
from typing import Any, Final

from django.db.models import QuerySet
from django.utils import timezone

from catalog.kitchen.selectors import local_day
from catalog.outbox.models import Outbox
from orders.invoices.models import Invoice
from orders.invoices.order_money import sign_of, signed_total
from orders.invoices.selectors import with_open
from orders.invoices.totals import stands
from orders.records.money import from_minor
from orders.records.states import InvoiceStatus
from orders.register.models import ExportBatch
from orders.register.rows import RegisterRow, Taxes


def register_page(documents: QuerySet[Invoice], *, oldest: bool = False) -> QuerySet[Invoice]:
    """Return some documents, the latest or the oldest first, with the columns of the register.

    Which they are is asked first: on PostgreSQL every document before them would be given its columns too.
    """
    keys = list(documents.values_list("pk", flat=True))
    rows = Invoice.objects.filter(pk__in=keys).select_related("order", "credits").order_by("-issued_on", "-pk")
    rows = rows.reverse() if oldest else rows
    return with_open(rows).annotate(signed=signed_total())


#: Documents read at a time.
CHUNK: Final = 1000
#: Columns read for a row of the register; plain values for speed, because a file may contain every document.
_COLUMNS = (
    "pk",
    "kind",
    "number",
    "issued_on",
    "supply_on",
    "due_on",
    "buyer",
    "order__number",
    "credits__number",
    "reason",
    "currency",
    "net_minor",
    "tax_minor",
    "total_minor",
    "prepaid_minor",
    "due_minor",
    "status",
)


def register_rows(documents: QuerySet[Invoice], *, standing: bool) -> Iterator[RegisterRow]:
    """Return documents as plain rows, oldest first. ``standing`` adds their present status.

    One query for all documents, and one for the taxes of each thousand: no more of them are in memory.
    """
    chosen, today = documents.order_by("issued_on", "pk"), local_day(timezone.now()) if standing else None
    columns = (
        with_open(chosen).values(*_COLUMNS, "open", "credited", "pay_on") if standing else chosen.values(*_COLUMNS)
    )
    reading = iter(columns.iterator(chunk_size=CHUNK))
    while rows := list(islice(reading, CHUNK)):
        taxes = _taxes_of([row["pk"] for row in rows])
        for row in rows:
            yield _row(row, taxes.get(row["pk"], {}), today)


def _taxes_of(keys: list[int]) -> dict[int, Taxes]:
    """Read the taxes of documents by document, signed; rows of one name and rate are one."""
    rows = Invoice.objects.order_by().filter(pk__in=keys, taxes__isnull=False)
    columns = ("pk", "kind", "currency", "taxes__tax_name", "taxes__rate", "taxes__taxable_minor", "taxes__tax_minor")
    found: dict[int, Taxes] = {}
    for pk, kind, currency, name, rate, *minors in rows.values_list(*columns):
        taxable, tax = (from_minor(sign_of(kind) * minor, currency) for minor in minors)
        own = found.setdefault(pk, {})
        before = own.get((name, rate))
        own[name, rate] = (before[0] + taxable, before[1] + tax) if before else (taxable, tax)
    return found


def _row(row: dict[str, Any], taxes: Taxes, today: date | None) -> RegisterRow:
    sign, currency = sign_of(row["kind"]), row["currency"]
    extra: dict[str, Any] = {}
    if today is not None:
        extra["stands"] = stands(
            row["status"],
            total_minor=row["total_minor"] if sign > 0 else 0,
            prepaid_minor=row["prepaid_minor"],
            credited_minor=row["credited"],
            open_minor=row["open"],
            overdue=sign > 0 and row["pay_on"] is not None and row["pay_on"] < today,
        )
        extra["open"] = from_minor(max(0, row["open"]), currency) if sign > 0 else None
    return RegisterRow(
        kind=row["kind"],
        number=row["number"],
        issued_on=row["issued_on"],
        supply_on=row["supply_on"],
        due_on=row["due_on"] if today is None else row["pay_on"],
        customer=row["buyer"].get("name", ""),
        tax_number=row["buyer"].get("tax_number", ""),
        order=row["order__number"],
        credits=row["credits__number"] or "",
        reason=row["reason"],
        currency=currency,
        net=from_minor(sign * row["net_minor"], currency),
        tax=from_minor(sign * row["tax_minor"], currency),
        total=from_minor(sign * row["total_minor"], currency),
        prepaid=from_minor(row["prepaid_minor"], currency),
        due=from_minor(sign * row["due_minor"], currency),
        taxes=taxes,
        pk=row["pk"],
        **extra,
    )


def drafts_waiting() -> QuerySet[Invoice]:
    """Return the drafts nobody has issued yet."""
    return Invoice.objects.filter(status=InvoiceStatus.DRAFT).select_related("order").order_by("pk")


def exports_listed() -> QuerySet[ExportBatch]:
    """List the exports, the latest first."""
    return ExportBatch.objects.select_related("csv", "xlsx")


def export_work_about(batch: int) -> str:
    """Return what the outbox says the work on an export's files is about."""
    return f"export:{batch}"


def export_work(batches: Iterable[ExportBatch]) -> dict[int, Outbox]:
    """Return the work on the files that are not written yet, by export: one query, or none."""
    about = {export_work_about(batch.pk): batch.pk for batch in batches if batch.csv_id is None}
    rows = Outbox.objects.filter(about__in=about).order_by("pk") if about else ()
    return {about[row.about]: row for row in rows}
