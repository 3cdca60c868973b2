"""Reading an uploaded spreadsheet in a process of its own (`catalog.records.confined`). It answers in JSON."""

import json
import sys
from dataclasses import asdict
from typing import Any, Final

from catalog.records.confined import NO_ROOM, TooMuch, answer_of, limit
from catalog.records.unreadable import Unreadable
from catalog.spreadsheets.columns import Grid, Heads

#: Seconds of computing for a file; 5,000 rows of 20 columns take one.
_SECONDS: Final = 2.5
#: Seconds on the clock: more than a process that waits for its turn on a busy machine needs.
_PATIENCE: Final = 60
#: Bytes of memory. macOS has no such limit; there the reader's limits of tags and unpacked bytes hold.
_MEMORY: Final = 120 * 1024 * 1024


def grid_read(file_name: str, body: bytes, heads: Heads, wanted: str = "") -> Grid:
    """Return the rows of one sheet of a file.

    Raises
    ------
    Unreadable
        If it cannot be read, or takes more time or memory than a table of the kitchen's.
    RuntimeError
        If the process failed for a reason of its own.
    """
    kind = "xlsx" if file_name.lower().endswith(".xlsx") else "csv"
    argument = json.dumps({"kind": kind, "heads": heads, "wanted": wanted})
    try:
        answer = json.loads(answer_of(__name__, argument, body, patience=_PATIENCE))
    except TooMuch:
        raise Unreadable("too_much") from None
    if "code" in answer:
        raise Unreadable(answer["code"], **answer["params"])
    return Grid(**answer)


def _answer(body: bytes, *, kind: str, heads: Heads, wanted: str) -> dict[str, Any]:
    # openpyxl takes them up where they are; they double memory and time.
    sys.modules.update(numpy=None, PIL=None)  # type: ignore[call-overload]
    from catalog.records.grids import is_workbook, opener
    from catalog.spreadsheets.reader import grid_of  # only now, without the two

    if is_workbook(kind, body):
        opener()
    limit(seconds=_SECONDS, memory=_MEMORY)
    try:
        return asdict(grid_of(kind, body, heads, wanted))
    except Unreadable as unreadable:
        return {"code": unreadable.code, "params": unreadable.params}


def main() -> None:
    """Read the file on standard input, write its rows or the reason why not."""
    try:
        written = json.dumps(_answer(sys.stdin.buffer.read(), **json.loads(sys.argv[1])), ensure_ascii=False).encode()
    except NO_ROOM:
        written = b'{"code": "too_much", "params": {}}'
    sys.stdout.buffer.write(written)


if __name__ == "__main__":
    main()
