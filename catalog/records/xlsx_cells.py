"""Cells and bytes of XLSX files: no cell can start a formula, and the same rows give the same bytes."""

import re
import shutil
import zipfile
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache
from typing import IO, Any, Final

from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from catalog.records.csv_cells import STARTS_FORMULA

_MODIFIED: Final = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")
#: Date of zip members: the earliest of the format.
_ZIP_DATE: Final = (1980, 1, 1, 0, 0, 0)


def xlsx_cell(sheet: WriteOnlyWorksheet, value: str | date | Decimal | int | None, font: Font | None = None) -> Any:
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


def same_bytes(written: IO[bytes], out: IO[bytes], at: datetime) -> None:
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
