"""Text cells of CSV and XLSX files: none can start a formula, whatever is typed into a text.

CSV follows RFC 4180 (CRLF, quotes doubled) in UTF-8 with a byte order mark: without it spreadsheet programs read
accented names as another encoding. Text cells that could start a formula get an apostrophe in front (OWASP "CSV
injection"; ASVS 5.0.0, 1.2.10).
"""

import re
from typing import Final

CSV_MARK: Final = b"\xef\xbb\xbf"
STARTS_FORMULA: Final = re.compile(r"\s*[=+\-@＝＋－＠]|[\t\r\n\x00]")


def safe_text(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would interpret as a formula."""
    return f"'{text}" if STARTS_FORMULA.match(text) else text
