"""The register as an XLSX file: no cell can start a formula, and the same rows give the same bytes."""

import re
import shutil
import zipfile
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from tempfile import TemporaryFile
from typing import IO, Any, Final

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from orders.records.csv_cells import STARTS_FORMULA
from orders.register.file_content import WIDE_HEADS, WORKSHEET, Cell, FileContent

_MODIFIED: Final = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")
#: Date of zip members: the earliest of the format.
_ZIP_DATE: Final = (1980, 1, 1, 0, 0, 0)


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
    sheet.append([_xlsx_cell(sheet, head, bold) for head in content.heads])
    for record in content.records:
        sheet.append([_xlsx_cell(sheet, cell) for cell in record])
    for total in content.totals:
        sheet.append([_xlsx_cell(sheet, cell, bold) for cell in total])
    with TemporaryFile() as written:
        book.save(written)
        _same_bytes(written, out, at)


def _width(head: str) -> int:
    """Return a column's width; dates and amounts need enough room, or spreadsheets show only hashes."""
    return max(14, min(len(head) + 2, 32)) if head not in WIDE_HEADS else 32


def _xlsx_cell(sheet: WriteOnlyWorksheet, value: Cell, font: Font | None = None) -> Any:
    """Make a cell: text is text whatever it begins with, money a number with its decimals, a date a date.

    Values the library writes correctly by itself are passed on unchanged: cells with a style are ten times slower.
    """
    if isinstance(value, str):
        text = ILLEGAL_CHARACTERS_RE.sub("", value)
        risky = bool(STARTS_FORMULA.match(text))
        if not risky and font is None:
            return text
        cell = WriteOnlyCell(sheet, text)
        cell.data_type = "s"
        if risky:
            cell.quotePrefix = True
    elif isinstance(value, Decimal):
        cell = WriteOnlyCell(sheet, value)  # type: ignore[arg-type]  # it takes decimals; the stubs do not say so
        cell.number_format = _money_format(max(0, -int(value.as_tuple().exponent)))
    elif font is None or value is None:
        return value
    else:
        cell = WriteOnlyCell(sheet, value)  # type: ignore[arg-type]  # and dates
    if font is not None:
        cell.font = font
    return cell


@lru_cache(maxsize=8)
def _money_format(digits: int) -> str:
    return f"#,##0.{'0' * digits}" if digits else "#,##0"


def _same_bytes(written: IO[bytes], out: IO[bytes], at: datetime) -> None:
    """Repack the file with fixed dates, because the library writes the present time into it."""
    stamp = at.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with zipfile.ZipFile(written) as old, zipfile.ZipFile(out, "w") as new:
        for part in old.infolist():
            info = zipfile.ZipInfo(part.filename, _ZIP_DATE)
            info.compress_type, info.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
            info.file_size = part.file_size  # says beforehand whether it is a large one
            if part.filename == "docProps/core.xml":
                new.writestr(info, _MODIFIED.sub(rb"\g<1>" + stamp + rb"\g<2>", old.read(part)))
                continue
            with old.open(part) as reading, new.open(info, "w") as writing:
                shutil.copyfileobj(reading, writing)
