"""Exports: each issued document is exported once per target, in files that are stored and never change."""

from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.db.models import Max

from catalog.records.reasons import Reason
from orders.documents.store import document_add
from orders.invoices.models import Invoice
from orders.records.errors import ChangedMeanwhile, NothingToExport
from orders.records.money import minor_units
from orders.records.states import InvoiceStatus
from orders.register.file_content import CSV_TYPE, XLSX_TYPE, export_title, file_content
from orders.register.files import csv_bytes, xlsx_bytes
from orders.register.models import ExportBatch, ExportItem
from orders.register.rows import RegisterRow, control_of
from orders.register.selectors import register_rows


@transaction.atomic(durable=True)
def export_make(
    *, first_day: date, last_day: date, currency: str, target: str = "register", by: str, at: datetime
) -> ExportBatch:
    """Export every document issued in the period that is in no export of this target yet.

    Raises
    ------
    NothingToExport
        When there is none.
    ChangedMeanwhile
        When another export took one of them at the same moment.
    """
    rows = _waiting(first_day, last_day, currency, target)
    if not rows:
        raise NothingToExport(first=first_day, last=last_day)
    number = (ExportBatch.objects.aggregate(last=Max("number"))["last"] or 0) + 1
    name = f"register-{number:04d}-{first_day:%Y-%m-%d}-{last_day:%Y-%m-%d}"
    csv, xlsx = register_files(rows, title=export_title(number), at=at, standing=False)
    try:
        batch = ExportBatch.objects.create(
            number=number,
            target=target,
            first_day=first_day,
            last_day=last_day,
            documents=len(rows),
            total_minor=minor_units(control_of(rows, currency).total),
            currency=currency,
            csv=document_add(csv, file_name=f"{name}.csv", media_type=CSV_TYPE, at=at),
            xlsx=document_add(xlsx, file_name=f"{name}.xlsx", media_type=XLSX_TYPE, at=at),
            made_at=at,
            made_by=by,
        )
        ExportItem.objects.bulk_create(ExportItem(batch=batch, target=target, invoice_id=row.pk) for row in rows)
    except IntegrityError as error:
        raise ChangedMeanwhile(what=Reason("exports")) from error
    return batch


def _waiting(first_day: date, last_day: date, currency: str, target: str) -> list[RegisterRow]:
    """Return the documents issued in the period that are in no export of the target."""
    documents = Invoice.objects.filter(issued_on__range=(first_day, last_day), currency=currency)
    waiting = documents.exclude(status=InvoiceStatus.DRAFT).exclude(exports__target=target)
    return list(register_rows(waiting, standing=False))


def register_files(rows: list[RegisterRow], *, title: str, at: datetime, standing: bool) -> tuple[bytes, bytes]:
    """Write rows as CSV and as XLSX."""
    content = file_content(rows, standing=standing)
    return csv_bytes(content), xlsx_bytes(content, title=title, at=at)
