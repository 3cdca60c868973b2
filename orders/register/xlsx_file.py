"""The register as an XLSX file: no cell can start a formula, and the same rows give the same bytes."""

from datetime import datetime
from tempfile import TemporaryFile
from typing import IO

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from catalog.records.xlsx_cells import same_bytes, xlsx_cell
from orders.register.file_content import WIDE_HEADS, WORKSHEET, FileContent


def xlsx_write(out: IO[bytes], content: FileContent, *, title: str, at: datetime) -> None:
    """Write the XLSX file row by row; the last rows hold the control totals. The same input gives the same bytes."""
    book = Workbook(write_only=True)
    book.properties.creator, book.properties.title = "Coldset", title
    book.properties.created = at.replace(tzinfo=None)
    sheet = book.create_sheet(WORKSHEET)
    sheet.freeze_panes = "A2"
    for number, head in enumerate(content.heads, 1):
        sheet.column_dimensions[get_column_letter(number)].width = _width(head)
    bold = Font(bold=True)
    sheet.append([xlsx_cell(sheet, head, bold) for head in content.heads])
    for record in content.records:
        sheet.append([xlsx_cell(sheet, cell) for cell in record])
    for total in content.totals:
        sheet.append([xlsx_cell(sheet, cell, bold) for cell in total])
    with TemporaryFile() as written:
        book.save(written)
        same_bytes(written, out, at)


def _width(head: str) -> int:
    """Return a column's width; dates and amounts need enough room, or spreadsheets show only hashes."""
    return max(14, min(len(head) + 2, 32)) if head not in WIDE_HEADS else 32
