"""The files of the list of payment requests and receipts."""

import csv
import io
from datetime import date, datetime
from typing import IO

from django.db import transaction

from catalog.outbox.models import Outbox
from catalog.records.csv_cells import CSV_MARK
from orders.documents.models import PreparedFile
from orders.documents.prepared import prepared_ask, prepared_write
from orders.register.file_content import PAPERS_TITLE, XLSX_TYPE
from orders.register.files import csv_row, xlsx_written
from orders.register.paper_list import PaperMonth, month_facts
from orders.register.papers_content import paper_content


def papers_csv(month: PaperMonth) -> bytes:
    """Return the papers of a month as a CSV file."""
    content, out = paper_content(month), io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows(csv_row(row) for row in (content.heads, *content.records, *content.totals))
    return CSV_MARK + out.getvalue().encode()


@transaction.atomic(durable=True)
def papers_file_ask(month: PaperMonth, *, by: str, at: datetime) -> PreparedFile:
    """Request the papers of a month as an XLSX file, as they stand when it is written."""
    return prepared_ask(
        kind="papers_file",
        facts=month_facts(month),
        file_name=f"requests-receipts-{month.first:%Y-%m}.xlsx",
        media_type=XLSX_TYPE,
        summary=PAPERS_TITLE,
        by=by,
        at=at,
    )


def papers_file_write(*, row: Outbox, at: datetime) -> None:
    """Write the papers of a month as an XLSX file, for the outbox."""
    prepared_write(row=row, write=_write, at=at)


def _write(out: IO[bytes], file: PreparedFile) -> None:
    content = paper_content(PaperMonth(date.fromisoformat(file.facts["first"])))
    xlsx_written(out, content, title=PAPERS_TITLE, at=file.asked_at)
