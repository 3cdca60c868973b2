"""Reading the table in a supplier's CSV or XLSX file: titles, a head row, then item, pack and price.

Every limit here has a sentence of its own. Time and memory are limited by the process that runs this module
(``reader_process.py``): it knows nothing of Django and of the database.
"""

import csv
import io
import re
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from itertools import chain, islice
from typing import Any, Final

import openpyxl

from catalog.price_lists.heads import columns_again, columns_named
from catalog.price_lists.table import (
    COLUMNS,
    NEEDED,
    SAMPLE_CHARACTERS,
    SAMPLE_COLUMNS,
    SAMPLE_ROWS,
    Choice,
    Table,
    TableRow,
    Unreadable,
)

MOST_ROWS: Final = 5000
MOST_COLUMNS: Final = 200
_LONGEST_LINE: Final = 100_000
#: The last row a workbook can have; also the last line that is looked at.
_LAST_ROW: Final = 1_048_576
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
#: Rows among which the head row is looked for.
_HEAD_AMONG: Final = 30
_COUNT: Final = re.compile(r"(\d{1,5})(?:\.0+)?")
#: A cell with a price and nothing else: 39.50, $39.50/cs, USD 39.50.
_PRICE: Final = re.compile(
    r"(?:[a-z]{3}\b|[$€£¥])?\s*-?\d[\d.,'\s]*(?:[$€£¥]|(?:/|per\b)?\s*[a-z.#]{0,8})", re.IGNORECASE
)
Rows = Iterator[tuple[int, list[str]]]


def table_of(kind: str, body: bytes, choice: Choice | None = None) -> Table:
    """Return the table in a file; ``kind`` is how its name ends.

    Its columns are those of ``choice`` where it has them: by their heads, or by their places alone, and then what
    stands before the first price is skipped. Otherwise they are found by the usual heads, below any title rows. A row
    without pack and price is a heading. Of a workbook, the first sheet with such a table is read.

    Raises
    ------
    Unreadable
        If the file is no CSV or XLSX, is locked, has no head row, or is larger than a price list.
    """
    refused: Unreadable | None = None
    is_workbook = kind == "xlsx" or body.startswith((_ZIP, _OLE2))
    for rows in _sheets(body) if is_workbook else (_text(body),):
        try:
            return _table_in(rows, choice)
        except Unreadable as unreadable:
            if unreadable.code not in ("no_columns", "no_rows"):
                raise
            refused = unreadable if refused is None or not refused.sample else refused
    raise refused or Unreadable("not_a_workbook")


def _table_in(rows: Rows, choice: Choice | None) -> Table:
    sample: list[list[str]] = []
    filled = _filled(rows, sample)
    try:
        if choice is not None and not choice.by_head:
            columns, rest = _from_first_price(filled, choice)
        else:
            columns, rest = _below_heads(filled, choice)
        return _table(columns, rest, sample)
    except Unreadable as unreadable:
        unreadable.sample = sample
        raise


def _filled(rows: Rows, sample: list[list[str]]) -> Rows:
    """Yield the rows that are not empty, within the limits; put the first into ``sample``."""
    for number, row in rows:
        if number > _LAST_ROW:
            raise Unreadable("too_many_rows", most=MOST_ROWS)
        if not any(row):
            continue
        if any(row[MOST_COLUMNS:]):
            raise Unreadable("too_many_columns", most=MOST_COLUMNS)
        if len(sample) < SAMPLE_ROWS:
            sample.append([cell[:SAMPLE_CHARACTERS] for cell in row[:SAMPLE_COLUMNS]])
        yield number, row


def _table(columns: Choice, rest: Rows, sample: list[list[str]]) -> Table:
    rows: list[TableRow] = []
    headings = 0
    for number, row in rest:
        item, pack, size, price = (_cell(row, columns.places.get(key)) for key in COLUMNS)
        if not (pack or size or price):
            headings += 1
        else:
            rows.append(TableRow(number, item, pack_text(pack, size), price))
        if len(rows) + headings > MOST_ROWS:
            raise Unreadable("too_many_rows", most=MOST_ROWS)
    if not rows:
        raise Unreadable("no_rows")
    return Table(rows, columns, sample, headings)


def _below_heads(rows: Rows, choice: Choice | None) -> tuple[Choice, Rows]:
    """Return the columns that the head row names, and the rows below it."""
    first = list(islice(rows, _HEAD_AMONG))
    if choice is not None:
        for at, (_, row) in enumerate(first):
            if again := columns_again(choice, row):
                return again, chain(first[at + 1 :], rows)
    nearest = list(NEEDED)
    for at, (_, row) in enumerate(first):
        found, missing = columns_named(row)
        if found is not None:
            return found, chain(first[at + 1 :], rows)
        nearest = min(nearest, missing, key=len)
    raise Unreadable("no_columns", missing=nearest)


def _from_first_price(rows: Rows, choice: Choice) -> tuple[Choice, Rows]:
    """Return the chosen columns with the heads above them, and the rows from the first price on."""
    above: list[str] = []
    for number, row in rows:
        if _PRICE.fullmatch(_cell(row, choice.places["price"])):
            heads = {key: _cell(above, at)[:80] for key, at in choice.places.items()}
            return Choice(choice.places, heads), chain([(number, row)], rows)
        above = row
    raise Unreadable("no_rows")


def _cell(row: list[str], at: int | None) -> str:
    return row[at][:200] if at is not None and at < len(row) else ""


def pack_text(pack: str, size: str) -> str:
    """Return a pack that stands in two columns as one: 12 and 1 qt are 12 x 1 qt, 50 and lb are 50 lb."""
    count = _COUNT.fullmatch(pack)
    if not size or not pack:
        return pack or size
    if count is None:
        return pack if any(sign.isdigit() for sign in pack) else size
    if not any(sign.isdigit() for sign in size):
        return f"{count[1]} {size}"
    return size if int(count[1]) == 1 else f"{count[1]} x {size}"


def _text(body: bytes) -> Iterator[tuple[int, list[str]]]:
    text = _decoded(body)
    if "\x00" in text:
        raise Unreadable("not_text")
    delimiter = _delimiter(text[:_LONGEST_LINE].splitlines()[:_HEAD_AMONG])
    try:
        for number, row in enumerate(csv.reader(_lines(text), delimiter=delimiter), start=1):
            yield number, [cell.strip() for cell in row]
    except csv.Error as error:
        raise Unreadable("not_a_table", error=str(error)) from None


def _delimiter(lines: list[str]) -> str:
    """Return what parts the columns: where a head row is found with it, or else what most of the lines have."""

    def fits(sign: str) -> tuple[bool, int, int]:
        headed = any(columns_named(line.replace('"', "").split(sign))[0] for line in lines)
        counts = [line.count(sign) for line in lines]
        return headed, sum(count >= len(NEEDED) - 1 for count in counts), sum(counts)

    return max(";\t,|", key=fits)


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


def _sheets(body: bytes) -> Iterator[Rows]:
    """Yield the rows of each sheet that is not hidden; a cover sheet may stand before the prices."""
    with _workbook_read():
        _check_archive(body)
        book = openpyxl.load_workbook(io.BytesIO(body), read_only=True, data_only=True, keep_links=False)
        sheets = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"][:_MOST_SHEETS]
    for sheet in sheets:
        yield _sheet(sheet)


def _sheet(sheet: Any) -> Rows:
    with _workbook_read():
        for number, row in enumerate(_rows(sheet), start=1):
            yield number, [_cell_text(value) for value in row]


@contextmanager
def _workbook_read() -> Iterator[None]:
    """Turn whatever the library meets in a broken file into one refusal: it can end anywhere in it."""
    try:
        yield
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
    """Return a cell as text; a number as its shortest decimal (9.2, not 9.2000000000000002, nor 12.0)."""
    if isinstance(value, float):
        value = int(value) if value.is_integer() else round(value, 6)
    return "" if value is None else str(value).strip()
