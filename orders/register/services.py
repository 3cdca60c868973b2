"""Exports: each issued document is exported once per target, in files that are stored and never change.

What an export holds is fixed in the request's transaction. Its files are written from that afterwards, by the outbox:
the columns in them never change once a document is issued, so they say the same whenever they are written.
"""

from dataclasses import asdict
from datetime import date, datetime
from tempfile import TemporaryFile
from typing import IO, Any

from django.db import IntegrityError, transaction
from django.db.models import Count, QuerySet, Sum
from django.db.models.functions import TruncMonth

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.records.reasons import Reason
from orders.documents.models import PreparedFile
from orders.documents.prepared import prepared_ask, prepared_write
from orders.documents.store import file_add
from orders.invoices.models import Invoice
from orders.invoices.order_money import signed_total
from orders.records.errors import ChangedMeanwhile, NothingToExport
from orders.records.states import InvoiceStatus
from orders.register.csv_file import csv_pieces, rates_of
from orders.register.export_items import items_add
from orders.register.file_content import (
    CSV_TYPE,
    TITLE,
    XLSX_TITLE,
    XLSX_TYPE,
    export_title,
    file_content,
)
from orders.register.files import XLSX_MOST, xlsx_written
from orders.register.filters import TARGET, RegisterFilter, register
from orders.register.models import ExportBatch, ExportItem, ExportMonth
from orders.register.selectors import export_work_about, register_rows


@transaction.atomic(durable=True)
def export_make(
    *, first_day: date, last_day: date, currency: str, target: str = TARGET, by: str, at: datetime
) -> ExportBatch:
    """Export every document issued in the period that is in no export of this target yet; request the files.

    Raises
    ------
    NothingToExport
        When there is none.
    ChangedMeanwhile
        When another export took one of them at the same moment, or one was issued.
    """
    waiting = _waiting(first_day, last_day, currency, target)
    found = waiting.aggregate(documents=Count("pk"), total=Sum(signed_total()))
    if not found["documents"]:
        raise NothingToExport(first=first_day, last=last_day)
    last = ExportBatch.objects.order_by("-number").values_list("number", flat=True).first() or 0
    batch = ExportBatch(number=last + 1, target=target, first_day=first_day, last_day=last_day, currency=currency)
    batch.documents, batch.total_minor = found["documents"], found["total"]
    batch.made_at, batch.made_by = at, by
    _fix(batch, waiting)
    _months_add(batch)
    outbox_add(
        kind="export_files",
        payload={"batch": batch.pk},
        about=export_work_about(batch.pk),
        summary=export_title(batch.number),
        at=at,
    )
    return batch


def _fix(batch: ExportBatch, waiting: QuerySet[Invoice]) -> None:
    """Store an export with its documents; raises ChangedMeanwhile when they are not those that were counted."""
    try:
        batch.save(force_insert=True)
        taken = items_add(batch, waiting)
    except IntegrityError as error:
        raise ChangedMeanwhile(what=Reason("exports")) from error
    if taken != batch.documents:
        raise ChangedMeanwhile(what=Reason("exports"))


def _waiting(first_day: date, last_day: date, currency: str, target: str) -> QuerySet[Invoice]:
    """Return the documents issued in the period that are in no export of the target."""
    documents = Invoice.objects.filter(issued_on__range=(first_day, last_day), currency=currency)
    return documents.exclude(status=InvoiceStatus.DRAFT).exclude(exports__target=target).order_by()


def _months_add(batch: ExportBatch) -> None:
    """Count the documents of an export by the month in which they were issued."""
    items = ExportItem.objects.filter(batch=batch).order_by().annotate(month=TruncMonth("invoice__issued_on"))
    rows = items.values_list("month").annotate(Count("pk"))
    ExportMonth.objects.bulk_create(ExportMonth(batch=batch, month=month, documents=count) for month, count in rows)


def export_files_write(*, row: Outbox, at: datetime) -> None:
    """Write the files of an export, for the outbox; nothing when they are there."""
    batch = ExportBatch.objects.get(pk=row.payload["batch"])
    if batch.csv_id is not None:
        return
    documents = Invoice.objects.filter(exports__batch=batch)
    rates = rates_of(documents)
    with TemporaryFile() as csv, TemporaryFile() as xlsx:
        for piece in csv_pieces(documents, rates, standing=False):
            csv.write(piece)
        if batch.documents <= XLSX_MOST:
            content = file_content(register_rows(documents, standing=False), rates, standing=False)
            xlsx_written(xlsx, content, title=export_title(batch.number), at=batch.made_at)
        _stored(batch, csv, xlsx if batch.documents <= XLSX_MOST else None, at)


@transaction.atomic(durable=True)
def _stored(batch: ExportBatch, csv: IO[bytes], xlsx: IO[bytes] | None, at: datetime) -> None:
    """Store the files once: of two concurrent writings the second keeps the first one's."""
    if ExportBatch.objects.select_for_update().get(pk=batch.pk).csv_id is not None:
        return
    name = f"register-{batch.number:04d}-{batch.first_day:%Y-%m-%d}-{batch.last_day:%Y-%m-%d}"
    files = {"csv": file_add(csv, file_name=f"{name}.csv", media_type=CSV_TYPE, at=at)}
    if xlsx is not None:
        files["xlsx"] = file_add(xlsx, file_name=f"{name}.xlsx", media_type=XLSX_TYPE, at=at)
    ExportBatch.objects.filter(pk=batch.pk, csv=None).update(**files)


@transaction.atomic(durable=True)
def register_file_ask(*, chosen: RegisterFilter, today: date, by: str, at: datetime) -> PreparedFile:
    """Request the documents a filter shows as an XLSX file, as they stand when it is written."""
    return prepared_ask(
        kind="register_file",
        facts={"filter": {name: _plain(value) for name, value in asdict(chosen).items()}, "today": today.isoformat()},
        file_name=f"register-{today:%Y-%m-%d}.xlsx",
        media_type=XLSX_TYPE,
        summary=XLSX_TITLE,
        by=by,
        at=at,
    )


def register_file_write(*, row: Outbox, at: datetime) -> None:
    """Write the register as an XLSX file, for the outbox."""
    prepared_write(row=row, write=_write_register, at=at)


def _write_register(out: IO[bytes], file: PreparedFile) -> None:
    documents = register(_filter_of(file.facts["filter"]), today=date.fromisoformat(file.facts["today"]))
    content = file_content(register_rows(documents, standing=True), rates_of(documents), standing=True)
    xlsx_written(out, content, title=TITLE, at=file.asked_at)


def _plain(value: str | date | None) -> str | None:
    return value.isoformat() if isinstance(value, date) else value


def _filter_of(facts: dict[str, Any]) -> RegisterFilter:
    days = {name: date.fromisoformat(facts[name]) for name in ("first", "last") if facts[name]}
    return RegisterFilter(**{**facts, **days})
