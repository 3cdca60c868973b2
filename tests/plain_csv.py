"""The register's CSV file written the plain way, record by record and whole in memory: what the stream must equal."""

import csv
import io

from orders.register.file_content import FileContent
from orders.register.files import CSV_MARK, csv_row


def csv_bytes(content: FileContent) -> bytes:
    """Write heads, records and control totals."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows(csv_row(cells) for cells in (content.heads, *content.records, *content.totals))
    return CSV_MARK + out.getvalue().encode()
