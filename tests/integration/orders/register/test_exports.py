"""Exports: each issued document in exactly one, and files that stay the same to the byte."""

import hashlib
import io
from datetime import datetime, timedelta

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.web.display import day
from orders.inquiries.models import Customer
from orders.invoices.models import Invoice
from orders.invoices.services import invoice_draft
from orders.records.errors import ChangedMeanwhile, NothingToExport
from orders.register.filters import months_not_exported, not_exported
from orders.register.models import ExportBatch, ExportItem, ExportMonth
from orders.register.selectors import register_rows
from orders.register.services import export_files_write, export_make
from tests.factories import BY
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.integration.orders.register.test_register import signed_in
from tests.plain_csv import content_of, csv_bytes, xlsx_bytes
from tests.refusals import refused

pytestmark = pytest.mark.django_db
DAY = LATER.date()


def export(**facts: object) -> ExportBatch:
    """Make an export and write its files, as the outbox does."""
    batch = export_begun(**facts)
    written(batch)
    return ExportBatch.objects.get(pk=batch.pk)


def export_begun(**facts: object) -> ExportBatch:
    values = {"first_day": DAY, "last_day": DAY, "currency": "USD", "by": BY, "at": LATER, **facts}
    return export_make(**values)  # type: ignore[arg-type]  # a test's own facts


def written(batch: ExportBatch, at: datetime = LATER) -> None:
    row = Outbox.objects.get(kind="export_files", about=f"export:{batch.pk}")
    export_files_write(row=row, at=at)


def plain(batch: ExportBatch) -> bytes:
    """The CSV file as the documents are now."""
    rows = register_rows(Invoice.objects.filter(exports__batch=batch), standing=False)
    return csv_bytes(content_of(list(rows), standing=False))


def test_each_document_goes_out_once() -> None:
    invoice = invoice_make(order_make())
    invoice_draft(order_id=order_make().pk, by=BY, at=LATER)
    first = export()
    assert (first.number, first.documents, first.total_minor) == (1, 1, invoice.total_minor)
    with refused(NothingToExport, match=f"from {day(DAY)} to"):
        export()
    note = credit(invoice)
    second = export()
    assert (second.number, second.documents, second.total_minor) == (2, 1, -note.total_minor)
    assert sorted(ExportItem.objects.values_list("batch__number", "invoice__number")) == [
        (1, "I-00001"),
        (2, "C-00001"),
    ]
    assert not_exported() == []


@pytest.mark.postgres
def test_all_documents_are_found_before_the_first_is_put_in() -> None:
    invoice_make(order_make())
    with CaptureQueriesContext(connection) as asked:
        export_begun()
    (insert,) = [query["sql"] for query in asked if query["sql"].startswith("INSERT INTO orders_exportitem")]
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN (COSTS OFF) {insert}")
        plan = [line.strip() for (line,) in cursor.fetchall()]
    # A step of the plan that takes everything before it gives anything; else each document is looked for again in all
    # that was put in before it.
    assert "->  Sort" in plan


def test_only_what_was_issued_in_the_period_and_in_the_currency_goes_out() -> None:
    for days in range(4):
        invoice_make(order_make(), at=LATER + timedelta(days=days))
    Kitchen.objects.update(currency="CAD")
    catalog_changed()
    foreign = invoice_make(order_make(), at=LATER + timedelta(days=1))
    assert foreign.currency == "CAD"
    batch = export(first_day=DAY + timedelta(days=1), last_day=DAY + timedelta(days=2))
    numbers = ExportItem.objects.filter(batch=batch).values_list("invoice__number", flat=True)
    assert sorted(numbers) == ["I-00002", "I-00003"]
    assert not_exported() != []
    assert export(first_day=DAY, last_day=DAY + timedelta(days=9), currency="CAD").documents == 1


def test_a_batch_says_what_is_in_it_who_made_it_and_how_its_files_are_called() -> None:
    invoice_make(order_make())
    last = DAY + timedelta(days=3)
    batch = ExportBatch.objects.get(pk=export(last_day=last, target="ledger", by="kim").pk)
    assert (batch.first_day, batch.last_day, batch.target, batch.currency) == (DAY, last, "ledger", "USD")
    assert (batch.made_by, batch.made_at) == ("kim", LATER)
    assert ExportItem.objects.get().target == "ledger"
    name = f"register-0001-{DAY:%Y-%m-%d}-{last:%Y-%m-%d}"
    assert (batch.csv.file_name, batch.csv.media_type) == (f"{name}.csv", "text/csv; charset=utf-8")
    sheet = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    assert (batch.xlsx.file_name, batch.xlsx.media_type) == (f"{name}.xlsx", sheet)
    assert batch.csv.created_at == LATER
    book = load_workbook(io.BytesIO(bytes(batch.xlsx.body)))
    assert book.properties.title == "Register, export 1"
    heads = bytes(batch.csv.body).decode("utf-8-sig").splitlines()[0].split(",")
    assert "To pay" in heads
    assert not {"Status", "Open"} & set(heads), "where a document stands changes after the export"
    with refused(NothingToExport, match=f"from {day(DAY)} to {day(last)} is already in an export"):
        export(last_day=last, target="ledger")


def test_an_export_that_comes_too_late_for_a_document_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    invoice_make(order_make())

    def taken(*_: object) -> int:
        raise IntegrityError

    monkeypatch.setattr("orders.register.services.items_add", taken)
    with refused(ChangedMeanwhile, match=r"^The list of exports was changed in the meantime"):
        export()
    monkeypatch.setattr("orders.register.services.items_add", lambda *_: 2)
    with refused(ChangedMeanwhile, match=r"^The list of exports was changed in the meantime"):
        export()


def test_the_database_keeps_a_document_out_of_a_second_export() -> None:
    invoice = invoice_make(order_make())
    batch = export()
    with pytest.raises(DatabaseError), transaction.atomic():
        ExportItem.objects.create(batch=batch, target="register", invoice=invoice)


def test_other_targets_get_their_own() -> None:
    invoice_make(order_make())
    assert [export(target=target).documents for target in ("register", "ledger")] == [1, 1]


def test_a_download_is_the_same_whatever_happened_since() -> None:
    order = order_make()
    invoice = invoice_make(order)
    batch = export()
    client = signed_in("bookkeeper")

    def files() -> list[bytes]:
        return [client.get(reverse("money-export-file", args=[batch.pk, kind])).getvalue() for kind in ("csv", "xlsx")]

    before = files()
    pay(order, invoice.due_minor)
    credit(invoice, at=LATER + timedelta(days=1))
    assert files() == before
    assert hashlib.sha256(before[0]).hexdigest() == batch.csv.sha256
    assert hashlib.sha256(before[1]).hexdigest() == batch.xlsx.sha256


def test_the_same_rows_give_the_same_bytes() -> None:
    invoice_make(order_make())
    rows = list(register_rows(Invoice.objects.exclude(status="draft"), standing=False))
    made = [xlsx_bytes(content_of(rows, standing=False), title="Register", at=LATER) for _ in range(2)]
    assert made[0] == made[1]


def test_the_control_total_is_the_batchs() -> None:
    invoice_make(order_make())
    invoice_make(order_make())
    batch = export()
    sheet = load_workbook(io.BytesIO(bytes(batch.xlsx.body))).active
    assert sheet is not None
    heads = [cell.value for cell in sheet[1]]
    last = dict(zip(heads, [cell.value for cell in sheet[sheet.max_row]], strict=True))
    assert (last["Document"], last["Number"]) == ("Control total", 2)
    assert round(last["Total"] * 100) == batch.total_minor


def test_the_bookkeeper_exports_on_screen() -> None:
    invoice_make(order_make())
    client = signed_in("bookkeeper")
    page = client.get(reverse("money-exports")).content.decode()
    assert "1 document in USD" in page
    answer = client.post(reverse("money-export-new"), {"first": "2027-01-01", "last": "2026-01-01"})
    assert "must not be before the first" in answer.content.decode()
    answer = client.post(reverse("money-export-new"), {"first": "2027-01-01", "last": "2027-12-31"}, follow=True)
    assert "Export 1 holds 1 document. Its files are being written." in answer.content.decode()
    assert "The files of an export are being written." in answer.content.decode()
    written(ExportBatch.objects.get())
    assert "eing written" not in client.get(reverse("money-exports")).content.decode()
    answer = client.post(reverse("money-export-new"), {"first": "2027-01-01", "last": "2027-12-31"})
    assert "Nothing to export" in answer.content.decode()
    assert 'value="2027-12-31"' in answer.content.decode()


def test_dates_and_amounts_have_room_in_the_sheet() -> None:
    invoice_make(order_make())
    sheet = load_workbook(io.BytesIO(bytes(export().xlsx.body))).active
    widths = {cell.value: sheet.column_dimensions[cell.column_letter].width for cell in sheet[1]}
    assert min(widths.values()) >= 14
    assert widths["Customer"] == 32


def test_what_happens_between_the_export_and_its_files_changes_nothing_in_them() -> None:
    order, other = order_make(), order_make()
    invoice = invoice_make(order)
    batch = export_begun()
    as_exported = plain(batch)
    pay(order, invoice.due_minor)
    credit(invoice, {invoice.lines.all()[0].pk: 700})
    invoice_make(other)
    Customer.objects.update(name="Somebody Else")
    Kitchen.objects.update(currency="EUR")
    catalog_changed()
    written(batch, at=LATER + timedelta(days=3))
    batch.refresh_from_db()
    assert batch.csv is not None
    assert batch.csv.body == as_exported
    assert batch.csv.created_at == LATER + timedelta(days=3)
    (left,) = not_exported()
    assert left.documents == 2, "the credit note and the other invoice wait for the next export"


def test_an_export_longer_than_an_xlsx_may_be_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("orders.register.services.XLSX_MOST", 1)
    for _ in range(2):
        invoice_make(order_make())
    batch = export()
    client = signed_in("bookkeeper")
    assert client.get(reverse("money-export-file", args=[batch.pk, "xlsx"])).status_code == 404
    assert "No XLSX above 400,000 documents." in client.get(reverse("money-exports")).content.decode()


def test_files_are_written_once() -> None:
    invoice_make(order_make())
    batch = export()
    before = (batch.csv_id, batch.xlsx_id)
    written(batch)
    batch.refresh_from_db()
    assert (batch.csv_id, batch.xlsx_id) == before
    with pytest.raises(DatabaseError), transaction.atomic():
        ExportBatch.objects.update(csv=None)
    with pytest.raises(DatabaseError), transaction.atomic():
        ExportBatch.objects.update(csv=batch.xlsx)


def test_the_files_of_a_large_export_are_stored_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("orders.register.selectors.CHUNK", 2)
    monkeypatch.setattr("orders.documents.store.PART", 100)
    for _ in range(5):
        invoice_make(order_make())
    batch = export()
    assert batch.csv is not None
    assert batch.xlsx is not None
    assert batch.csv.parts.count() > 3
    assert batch.csv.body == plain(batch)
    assert hashlib.sha256(batch.csv.body).hexdigest() == batch.csv.sha256
    client = signed_in("bookkeeper")
    response = client.get(reverse("money-export-file", args=[batch.pk, "csv"]))
    assert len(list(response)) == batch.csv.parts.count()
    assert batch.xlsx.parts.count() > 3
    assert hashlib.sha256(batch.xlsx.body).hexdigest() == batch.xlsx.sha256
    sheet = load_workbook(io.BytesIO(batch.xlsx.body)).active
    assert sheet is not None
    assert [cell.value for cell in sheet["B"]] == ["Number", *(f"I-{number:05d}" for number in range(1, 6)), 5]
    with pytest.raises(DatabaseError), transaction.atomic():
        batch.csv.parts.update(body=b"")


def test_an_export_whose_files_could_not_be_written_says_why() -> None:
    invoice_make(order_make())
    batch = export_begun()
    client = signed_in("bookkeeper")
    assert client.get(reverse("money-export-file", args=[batch.pk, "csv"])).status_code == 404
    problem = {"code": "file", "params": {"error": "No space left on device"}}
    Outbox.objects.filter(about=f"export:{batch.pk}").update(status="failed", error=problem)
    page = client.get(reverse("money-exports")).content.decode()
    assert "The files could not be written. A file could not be read or written. (No space left on device)" in page


def test_what_is_in_no_export_is_looked_for_in_the_months_that_are_not_all_exported() -> None:
    for days in (0, 40, 75, 140):
        invoice_make(order_make(), at=LATER + timedelta(days=days))
    assert len(months_not_exported("register")) == 4
    batch = export(last_day=DAY + timedelta(days=60))
    assert sorted(ExportMonth.objects.values_list("batch", "documents")) == [(batch.pk, 1), (batch.pk, 1)]
    assert months_not_exported("register") == [(DAY + timedelta(days=days)).replace(day=1) for days in (75, 140)]
    assert [row.documents for row in not_exported()] == [2]
