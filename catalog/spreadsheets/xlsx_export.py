"""Exports as XLSX workbooks, in the shape that an import reads. Loaded when one is asked for: the library is slow."""

import io
from datetime import datetime
from tempfile import TemporaryFile
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Font

from catalog.records.xlsx_cells import same_bytes, xlsx_cell
from catalog.spreadsheets.export_content import rows_exported


def export_xlsx(holds: str, *, at: datetime) -> bytes:
    """Return all records of a kind as an XLSX workbook with one sheet; every cell is text."""
    book = Workbook(write_only=True)
    book.properties.creator, book.properties.title = "Coldset", holds
    book.properties.created = at.replace(tzinfo=None)
    sheet = book.create_sheet(holds)
    sheet.freeze_panes = "A2"
    bold = Font(bold=True)
    for number, row in enumerate(rows_exported(holds)):
        sheet.append([_cell(sheet, text, bold if number == 0 else None) for text in row])
    out = io.BytesIO()
    with TemporaryFile() as written:
        book.save(written)
        same_bytes(written, out, at)
    return out.getvalue()


def _cell(sheet: Any, text: str, font: Font | None) -> Any:
    return xlsx_cell(sheet, text, font) if text else None
