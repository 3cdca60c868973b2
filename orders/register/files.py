"""Files of the register. No cell can start a formula, whatever is typed into a text (`catalog.records.csv_cells`).

Numbers made here from decimals are left alone, else "-12.00" would become text.
"""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import IO, Final

from catalog.records.csv_cells import safe_text
from orders.register.file_content import Cell, FileContent

#: Most documents of an XLSX: each takes 0.3 ms, and the outbox stops a file after its lane's time. (A worksheet would
#: hold 1,048,576 rows: ECMA-376, from memory.)
XLSX_MOST: Final = 400_000


def csv_row(cells: Sequence[Cell]) -> list[str]:
    """Return a record's cells as they stand in a CSV file."""
    return [csv_cell(cell) for cell in cells]


def csv_cell(cell: Cell) -> str:
    """Return a cell as it stands in a CSV file."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return safe_text(cell)
    return cell.isoformat() if isinstance(cell, date) else format(cell, "f") if isinstance(cell, Decimal) else str(cell)


def xlsx_written(out: IO[bytes], content: FileContent, *, title: str, at: datetime) -> None:
    """Write an XLSX file; only who writes one loads the library for it, no page does."""
    from orders.register.xlsx_file import xlsx_write

    xlsx_write(out, content, title=title, at=at)
