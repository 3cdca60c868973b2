"""Reading the table in a supplier's CSV or XLSX file: titles, a head row, then item, pack and price.

Every limit here has a sentence of its own. Time and memory are limited by the process that runs this module
(``reader_process.py``): it knows nothing of Django and of the database.
"""

import re
from itertools import chain, islice
from typing import Final

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
)
from catalog.records.grids import LAST_ROW, Rows, is_workbook, sheets, text_rows
from catalog.records.unreadable import Unreadable

MOST_ROWS: Final = 5000
MOST_COLUMNS: Final = 200
#: Rows among which the head row is looked for.
_HEAD_AMONG: Final = 30
#: A whole number; with three zeros after a point it can be thousands.
_COUNT: Final = re.compile(r"(\d{1,5})(?:\.0{1,2})?")
#: A number of any kind, whose unit stands in the next column.
_FIGURE: Final = re.compile(r"\d[\d.,'’\s]*")
#: A cell with a price and nothing else: 39.50, $39.50/cs, USD 39.50.
_PRICE: Final = re.compile(
    r"(?:[a-z]{3}\b|[$€£¥])?\s*-?\d[\d.,'\s]*(?:[$€£¥]|(?:/|per\b)?\s*[a-z.#]{0,8})", re.IGNORECASE
)


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
    # A cover sheet may stand before the prices.
    for _, rows in sheets(body) if is_workbook(kind, body) else (("", text_rows(body, _parts)),):
        try:
            return _table_in(rows, choice)
        except Unreadable as unreadable:
            if unreadable.code not in ("no_columns", "no_rows", "heads_alone"):
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
        if number > LAST_ROW:
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
        raise Unreadable("no_rows" if headings else "heads_alone")
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
        if _FIGURE.fullmatch(pack) and not any(sign.isdigit() for sign in size):
            return f"{pack} {size}"
        return pack if any(sign.isdigit() for sign in pack) else size
    if not any(sign.isdigit() for sign in size):
        return f"{count[1]} {size}"
    return size if int(count[1]) == 1 else f"{count[1]} x {size}"


def _parts(lines: list[str], sign: str) -> tuple[int, ...]:
    """Say how well a sign parts the columns: whether a head row is found with it, and how many of the lines have it."""
    headed = any(columns_named(line.replace('"', "").split(sign))[0] for line in lines)
    counts = [line.count(sign) for line in lines]
    return headed, sum(count >= len(NEEDED) - 1 for count in counts), sum(counts)
