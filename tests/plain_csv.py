"""The register's files written the plain way, record by record and whole in memory: what the streams must equal."""

import csv
import io
from collections.abc import Sequence
from datetime import datetime

from catalog.records.csv_cells import CSV_MARK
from orders.register.file_content import FileContent, file_content
from orders.register.files import csv_row
from orders.register.rows import RegisterRow
from orders.register.xlsx_file import xlsx_write


def content_of(rows: Sequence[RegisterRow], *, standing: bool) -> FileContent:
    """Return the cells of rows that are all known, with the taxes they have."""
    return file_content(rows, sorted({rate for row in rows for rate in row.taxes}), standing=standing)


def xlsx_bytes(content: FileContent, *, title: str, at: datetime) -> bytes:
    """Write the XLSX file."""
    out = io.BytesIO()
    xlsx_write(out, content, title=title, at=at)
    return out.getvalue()


def csv_bytes(content: FileContent) -> bytes:
    """Write heads, records and control totals."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows(csv_row(cells) for cells in (content.heads, *content.records, *content.totals))
    return CSV_MARK + out.getvalue().encode()
