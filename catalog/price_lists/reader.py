"""Reading the table in a supplier's CSV or XLSX file: a head row, then item, pack and price.

Every limit here has a sentence of its own. Time and memory are limited by the process that runs this module
(``reader_process.py``): it knows nothing of Django and of the database.
"""

import csv
import io
import zipfile
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any, Final

import openpyxl

from catalog.price_lists.table import TableRow, Unreadable

MOST_ROWS: Final = 5000
MOST_COLUMNS: Final = 200
_LONGEST_LINE: Final = 100_000
#: The last row a workbook can have; also the last line that is looked at.
_LAST_ROW: Final = 1_048_576
_MOST_PARTS: Final = 2000
_MOST_UNPACKED: Final = 40 * 1024 * 1024
#: Tags of all parts of a workbook. A cell or a shared string has two or four: at most 300,000 of both together.
_MOST_TAGS: Final = 600_000
_ZIP: Final = b"PK\x03\x04"
#: An OLE2 file: a workbook of the old kind, or a new one locked with a password.
_OLE2: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_LOCKED: Final = "EncryptedPackage".encode("utf-16-le")
_ENCRYPTED_FLAG: Final = 0x1
#: Names a column may have, by its content; words are joined.
HEADS: Final[Mapping[str, frozenset[str]]] = {
    "item": frozenset({"item", "ingredient", "name", "product", "article", "description", "code", "artikel"}),
    "pack": frozenset({"pack", "size", "pack_size", "unit", "packing", "package"}),
    "price": frozenset({"price", "cost", "net_price", "pack_price", "unit_price", "preis"}),
}


def table_rows(kind: str, body: bytes) -> list[TableRow]:
    """Return the rows of a file; ``kind`` is how its name ends.

    Raises
    ------
    Unreadable
        If the file is no CSV or XLSX, is locked, has no head row, or is larger than a price list.
    """
    is_workbook = kind == "xlsx" or body.startswith((_ZIP, _OLE2))
    columns: dict[str, int] = {}
    rows: list[TableRow] = []
    for number, row in _sheet(body) if is_workbook else _text(body):
        if number > _LAST_ROW:
            raise Unreadable("too_many_rows", most=MOST_ROWS)
        if not any(row):
            continue
        if any(row[MOST_COLUMNS:]):
            raise Unreadable("too_many_columns", most=MOST_COLUMNS)
        if not columns:
            columns = _columns(row)
            continue
        rows.append(TableRow(number, *(_cell(row, columns[key]) for key in ("item", "pack", "price"))))
        if len(rows) > MOST_ROWS:
            raise Unreadable("too_many_rows", most=MOST_ROWS)
    if not rows:
        raise Unreadable("no_rows")
    return rows


def _cell(row: list[str], at: int) -> str:
    return row[at][:200] if at < len(row) else ""


def _columns(row: list[str]) -> dict[str, int]:
    heads = ["_".join(cell.lower().split()) for cell in row]
    found: dict[str, int] = {}
    for key, names in HEADS.items():
        at = next((index for index, head in enumerate(heads) if head in names), None)
        if at is not None:
            found[key] = at
    missing = [key for key in HEADS if key not in found]
    if missing:
        raise Unreadable("no_columns", missing=missing)
    return found


def _text(body: bytes) -> Iterator[tuple[int, list[str]]]:
    text = _decoded(body)
    if "\x00" in text:
        raise Unreadable("not_text")
    head = text.split("\n", 1)[0]
    delimiter = max(";\t,", key=head.count)
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


def _sheet(body: bytes) -> Iterator[tuple[int, list[str]]]:
    try:
        _check_archive(body)
        # A broken file can end anywhere in the library; only what it means is of interest.
        book = openpyxl.load_workbook(io.BytesIO(body), read_only=True, data_only=True, keep_links=False)
        for number, row in enumerate(_rows(book.worksheets[0]), start=1):
            yield number, [_cell_text(value) for value in row]
    except (Unreadable, MemoryError):
        raise
    except Exception:
        raise Unreadable("not_a_workbook") from None


def _rows(sheet: Any) -> Iterator[tuple[Any, ...]]:
    # What a sheet says of its size is not believed: it may be a million rows too many, or too few.
    sheet.reset_dimensions()
    return iter(sheet.iter_rows(values_only=True))


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
    """Return a cell as text; a number as its shortest decimal (9.2, not 9.1999)."""
    return "" if value is None else str(value).strip()
