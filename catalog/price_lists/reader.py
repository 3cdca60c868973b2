"""Reading the table in a supplier's CSV or XLSX file: a head row, then item, pack and price."""

import csv
import io
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

import openpyxl

from catalog.records.reasons import Reason

MOST_ROWS: Final = 5000
_MOST_UNPACKED: Final = 60 * 1024 * 1024
#: Names a column may have, by its content; words are joined.
HEADS: Final[Mapping[str, frozenset[str]]] = {
    "item": frozenset({"item", "ingredient", "name", "product", "article", "description", "code", "artikel"}),
    "pack": frozenset({"pack", "size", "pack_size", "unit", "packing", "package"}),
    "price": frozenset({"price", "cost", "net_price", "pack_price", "unit_price", "preis"}),
}


class Unreadable(Exception):
    """The file is not a table with the three columns."""

    def __init__(self, code: str, **params: Any) -> None:
        self.reason = Reason(code, params)
        super().__init__(code)


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row as text, with its number in the file (the head is row 1 or later)."""

    number: int
    item: str
    pack: str
    price: str


def table_rows(file_name: str, body: bytes) -> list[TableRow]:
    """Return the rows of a file.

    Raises
    ------
    Unreadable
        If the file is no CSV or XLSX, has no head row, or is too long.
    """
    cells = _sheet(body) if file_name.lower().endswith(".xlsx") else _text(body)
    columns: dict[str, int] = {}
    rows: list[TableRow] = []
    for number, row in cells:
        if not any(row):
            continue
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
    head = text.split("\n", 1)[0]
    delimiter = max(";\t,", key=head.count)
    try:
        for number, row in enumerate(csv.reader(io.StringIO(text), delimiter=delimiter), start=1):
            yield number, [cell.strip() for cell in row]
    except csv.Error as error:
        raise Unreadable("not_a_table", error=str(error)) from None


def _decoded(body: bytes) -> str:
    """Decode UTF-8, UTF-16 with a byte order mark, or else the Western code page that spreadsheets use."""
    if body.startswith((b"\xff\xfe", b"\xfe\xff")):
        return body.decode("utf-16", errors="replace")
    if b"\x00" in body:
        raise Unreadable("not_text")
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError:
        return body.decode("cp1252", errors="replace")


def _sheet(body: bytes) -> Iterator[tuple[int, list[str]]]:
    try:
        with zipfile.ZipFile(io.BytesIO(body)) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > _MOST_UNPACKED:
                raise Unreadable("too_large")
        book = openpyxl.load_workbook(io.BytesIO(body), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        rows = [(number, [_cell_text(value) for value in row]) for number, row in enumerate(_bounded(sheet), start=1)]
    except Unreadable:
        raise
    except (zipfile.BadZipFile, KeyError, ValueError, IndexError, OSError, TypeError, AttributeError, SyntaxError):
        raise Unreadable("not_a_workbook") from None
    yield from rows


def _bounded(sheet: Any) -> Iterator[tuple[Any, ...]]:
    return iter(sheet.iter_rows(max_row=MOST_ROWS + 50, max_col=60, values_only=True))


def _cell_text(value: Any) -> str:
    """Return a cell as text; a number as its shortest decimal (9.2, not 9.1999)."""
    return "" if value is None else str(value).strip()
