"""Text cells of CSV and XLSX files: none can start a formula, whatever is typed into a text.

CSV follows RFC 4180 (CRLF, quotes doubled) in UTF-8 with a byte order mark: without it spreadsheet programs read
accented names as another encoding. Text cells that could start a formula get an apostrophe in front (OWASP "CSV
injection"; ASVS 5.0.0, 1.2.10).
"""

import csv
import re
from typing import IO, Any, Final

from catalog.records.numbers import decimal_comma

CSV_MARK: Final = b"\xef\xbb\xbf"
STARTS_FORMULA: Final = re.compile(r"\s*[=+\-@＝＋－＠]|[\t\r\n\x00]")


def safe_text(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would interpret as a formula."""
    return f"'{text}" if STARTS_FORMULA.match(text) else text


def csv_writer(out: IO[str], locale: str) -> Any:
    """Return a writer of a file that people open in a spreadsheet program; lines end as RFC 4180 has it.

    Where numbers have a decimal comma, cells are separated by semicolons: spreadsheet programs of these countries read
    and write such files (common practice, no source).
    """
    return csv.writer(out, delimiter=";" if decimal_comma(locale) else ",", lineterminator="\r\n")
