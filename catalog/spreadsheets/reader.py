"""Reading the rows of one sheet of an uploaded file. Limits as in `catalog.records.grids`; it needs no Django."""

from collections.abc import Iterable
from itertools import islice
from typing import Final

from catalog.records.grids import LAST_ROW, Rows, is_workbook, sheets, text_rows
from catalog.records.unreadable import Unreadable
from catalog.spreadsheets.columns import HEAD_AMONG, Grid, Heads, heads_met

MOST_ROWS: Final = 5000
MOST_COLUMNS: Final = 200
#: Characters of a cell, and of all of a sheet.
_LONGEST: Final = 10_000
_MOST_CHARACTERS: Final = 4_000_000


def grid_of(kind: str, body: bytes, heads: Heads, wanted: str = "") -> Grid:
    """Return the rows of a text, or of one sheet of a workbook: the wanted one, or the one with most known heads.

    Raises
    ------
    Unreadable
        If the file is no CSV or XLSX, is locked or empty, or is larger than a table of the kitchen's.
    """
    if not is_workbook(kind, body):
        return _checked(Grid([], "", _held(text_rows(body, lambda lines, sign: _fits(lines, sign, heads)))))
    names: list[str] = []
    best: tuple[int, Grid] | None = None
    for name, rows in sheets(body):
        names.append(name)
        if wanted and name != wanted:
            continue
        held = _held(rows)
        score = max((heads_met(cells, heads) for _, cells in held[:HEAD_AMONG]), default=-1)
        if best is None or score > best[0]:
            best = score, Grid(names, name, held)
    if best is None:
        raise Unreadable("no_such_sheet" if names else "not_a_workbook")
    return _checked(best[1])


def _fits(lines: list[str], sign: str, heads: Heads) -> tuple[int, ...]:
    met = max((heads_met(line.replace('"', "").split(sign), heads) for line in lines), default=0)
    counts = [line.count(sign) for line in lines]
    return met, sum(map(bool, counts)), sum(counts)


def _checked(grid: Grid) -> Grid:
    if not grid.rows:
        raise Unreadable("no_rows")
    return grid


def _held(rows: Rows) -> list[tuple[int, list[str]]]:
    held: list[tuple[int, list[str]]] = []
    characters = 0
    for number, row in rows:
        if number > LAST_ROW or len(held) >= MOST_ROWS:
            raise Unreadable("too_many_rows", most=MOST_ROWS)
        if not any(row):
            continue
        if any(row[MOST_COLUMNS:]):
            raise Unreadable("too_many_columns", most=MOST_COLUMNS)
        cells = _trimmed(row[:MOST_COLUMNS])
        characters += sum(map(len, cells))
        if characters > _MOST_CHARACTERS:
            raise Unreadable("too_large")
        held.append((number, cells))
    return held


def _trimmed(row: Iterable[str]) -> list[str]:
    cells = [cell[:_LONGEST].replace("\x00", "") for cell in row]
    filled = max((at for at, cell in enumerate(cells) if cell), default=-1)
    return list(islice(cells, filled + 1))
