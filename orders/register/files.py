"""Cells of the register's files: none can start a formula, whatever is typed into a text.

CSV follows RFC 4180 (CRLF, quotes doubled) in UTF-8 with a byte order mark: without it spreadsheet programs read
accented names as another encoding. Text cells that could start a formula get an apostrophe in front (OWASP "CSV
injection"; ASVS 5.0.0, 1.2.10). Numbers made here from decimals are left alone, else "-12.00" would become text.
"""

import re
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Final

from orders.register.file_content import Cell

#: Most documents of an XLSX: each takes 0.3 ms, and the outbox stops a file after its lane's time. (A worksheet would
#: hold 1,048,576 rows: ECMA-376, from memory.)
XLSX_MOST: Final = 400_000
CSV_MARK: Final = b"\xef\xbb\xbf"
STARTS_FORMULA: Final = re.compile(r"\s*[=+\-@＝＋－＠]|[\t\r\n\x00]")


def safe_text(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would interpret as a formula."""
    return f"'{text}" if STARTS_FORMULA.match(text) else text


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
