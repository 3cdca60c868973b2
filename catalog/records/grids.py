"""The rows of an uploaded CSV or XLSX file, as text. What they mean is said by whoever reads them.

Every limit here has a sentence of its own. Time and memory are limited by the process that runs this module
(``catalog.records.confined``): it knows nothing of Django and of the database.
"""

import csv
import io
import re
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any, Final

from catalog.records.confined import NO_ROOM
from catalog.records.unreadable import Unreadable

#: Decimals that could be thousands.
_THREE_DECIMALS: Final = re.compile(r"\.\d{3}\Z", re.ASCII)
_LONGEST_LINE: Final = 100_000
#: The last row a workbook can have; also the last line that is looked at.
LAST_ROW: Final = 1_048_576
_MOST_PARTS: Final = 2000
_MOST_SHEETS: Final = 20
_MOST_UNPACKED: Final = 40 * 1024 * 1024
#: Tags of all parts of a workbook. A cell or a shared string has two or four: at most 300,000 of both together.
_MOST_TAGS: Final = 600_000
_ZIP: Final = b"PK\x03\x04"
#: An OLE2 file: a workbook of the old kind, or a new one locked with a password.
_OLE2: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_LOCKED: Final = "EncryptedPackage".encode("utf-16-le")
_ENCRYPTED_FLAG: Final = 0x1
#: Lines by which it is told what parts the columns of a text.
_HEAD_AMONG: Final = 30
Rows = Iterator[tuple[int, list[str]]]
#: Says how well lines of a text are parted into columns by a sign; more is better.
Fits = Callable[[list[str], str], tuple[int, ...]]


def is_workbook(kind: str, body: bytes) -> bool:
    """Return whether a file is a workbook, by its content or else by how its name ends."""
    return kind == "xlsx" or body.startswith((_ZIP, _OLE2))


def opener() -> Any:
    """Return what opens a workbook. Nothing else loads it: that takes more time than the rest of a process's start."""
    from openpyxl import load_workbook

    return load_workbook


def text_rows(body: bytes, fits: Fits) -> Rows:
    """Yield the rows of a text with separated columns, each with its number.

    Raises
    ------
    Unreadable
        If it is no text, no table, or has a line that is too long.
    """
    text = _decoded(body)
    if "\x00" in text:
        raise Unreadable("not_text")
    lines = text[:_LONGEST_LINE].splitlines()[:_HEAD_AMONG]
    delimiter = max(";\t,|", key=lambda sign: fits(lines, sign))
    try:
        for number, row in enumerate(csv.reader(_lines(text), delimiter=delimiter), start=1):
            yield number, [cell.strip() for cell in row]
    except csv.Error as error:
        raise Unreadable("not_a_table", error=str(error)) from None


def _lines(text: str) -> Iterator[str]:
    """Split a text at each kind of line end; a row in quotes may take several lines."""
    lines = io.StringIO(text, newline="")
    for line in iter(partial(lines.readline, _LONGEST_LINE), ""):
        if len(line) == _LONGEST_LINE:
            raise Unreadable("line_too_long")
        yield line


def _decoded(body: bytes) -> str:
    """Decode UTF-8, UTF-16 with a byte order mark, or else the Western code page that spreadsheets use."""
    if body.startswith((b"\xff\xfe", b"\xfe\xff")):
        return body.decode("utf-16", errors="replace")
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError:
        return body.decode("cp1252", errors="replace")


def sheets(body: bytes) -> Iterator[tuple[str, Rows]]:
    """Yield the name and the rows of each sheet of a workbook that is not hidden.

    Raises
    ------
    Unreadable
        If it is no XLSX workbook, is locked, or holds more than a table does.
    """
    with _workbook_read():
        _check_archive(body)
        book = opener()(io.BytesIO(body), read_only=True, data_only=True, keep_links=False)
        visible = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"][:_MOST_SHEETS]
    for sheet in visible:
        yield str(sheet.title), _sheet(sheet)


def _sheet(sheet: Any) -> Rows:
    for number, row in enumerate(_rows(sheet), start=1):
        yield number, [_cell_text(value) for value in row]


@contextmanager
def _workbook_read() -> Iterator[None]:
    """Turn whatever the libraries meet in a broken file into one refusal.

    They parse as they go and end in errors of every kind: of zip and XML, of a missing key, of a number that is none.
    What went wrong is not chained: it would carry cells of the file into the log. Only they run inside.
    """
    try:
        yield
    except (Unreadable, *NO_ROOM):
        raise
    except Exception:
        raise Unreadable("not_a_workbook") from None


def _rows(sheet: Any) -> Iterator[tuple[Any, ...]]:
    # What a sheet says of its size is not believed: it may be a million rows too many, or too few.
    with _workbook_read():
        sheet.reset_dimensions()
        yield from sheet.iter_rows(values_only=True)


def _check_archive(body: bytes) -> None:
    """Check a workbook's zip before anything in it is parsed. What its headers say is a limit for what is unpacked.

    Raises
    ------
    Unreadable
        If it is locked, packed in a way no workbook is, or holds more than a price list.
    """
    if body.startswith(_OLE2):
        raise Unreadable("locked" if _LOCKED in body else "old_workbook")
    with zipfile.ZipFile(io.BytesIO(body)) as archive:
        parts = archive.infolist()
        if any(part.flag_bits & _ENCRYPTED_FLAG for part in parts):
            raise Unreadable("locked")
        # Other methods unpack any amount at once, whatever the headers say.
        if any(part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for part in parts):
            raise Unreadable("not_a_workbook")
        if len(parts) > _MOST_PARTS or sum(part.file_size for part in parts) > _MOST_UNPACKED:
            raise Unreadable("too_large")
        if sum(_tags(archive, part) for part in parts) > _MOST_TAGS:
            raise Unreadable("too_large")


def _tags(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> int:
    with archive.open(part) as unpacked:
        return sum(chunk.count(b"<") for chunk in iter(partial(unpacked.read, 1 << 20), b""))


def _cell_text(value: Any) -> str:
    """Return a cell as text; a number as its shortest decimal (9.2, not 9.2000000000000002, nor 12.0).

    A number of a workbook is exact whatever the kitchen writes before decimals. Three decimals get a zero more, because
    1.125 would be a thousand and more in Germany.
    """
    if isinstance(value, float):
        value = int(value) if value.is_integer() else round(value, 6)
        text = str(value)
        return f"{text}0" if _THREE_DECIMALS.search(text) else text
    return "" if value is None else str(value).strip()
