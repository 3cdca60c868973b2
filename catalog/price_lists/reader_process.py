"""Reading an uploaded price list in a process of its own (`catalog.records.confined`). It answers in JSON."""

import json
import sys
from dataclasses import asdict, astuple
from typing import Any, Final

from catalog.price_lists.table import Choice, Table, TableRow
from catalog.records.confined import NO_ROOM, TooMuch, answer_of, limit
from catalog.records.unreadable import Unreadable

#: Seconds of computing for a file, after the start; 5,000 rows of 20 columns take one.
_SECONDS: Final = 1.5
#: Seconds on the clock: more than a process that waits for its turn on a busy machine needs.
_PATIENCE: Final = 60
#: Bytes of memory. macOS has no such limit; there the reader's limits of tags and unpacked bytes hold.
_MEMORY: Final = 80 * 1024 * 1024


def rows_read(file_name: str, body: bytes, choice: Choice | None = None) -> Table:
    """Return the table in a file, from the chosen columns where they are given.

    Raises
    ------
    Unreadable
        If it is no price list that can be read, or takes more time or memory than one.
    RuntimeError
        If the process failed for a reason of its own.
    """
    kind = "xlsx" if file_name.lower().endswith(".xlsx") else "csv"
    wanted = json.dumps({"kind": kind, "choice": asdict(choice) if choice else None})
    try:
        written = answer_of(__name__, wanted, body, patience=_PATIENCE)
    except TooMuch:
        raise Unreadable("too_much") from None
    answer = json.loads(written)
    if "code" in answer:
        unreadable = Unreadable(answer["code"], **answer["params"])
        unreadable.sample = answer.get("sample", [])
        raise unreadable
    rows = [TableRow(*row) for row in answer["rows"]]
    return Table(rows, Choice(**answer["columns"]), answer["sample"], answer["headings"])


def _answer(kind: str, choice: Choice | None, body: bytes) -> dict[str, Any]:
    # openpyxl takes them up where they are; a price list needs neither, and they double memory and time.
    sys.modules.update(numpy=None, PIL=None)  # type: ignore[call-overload]
    from catalog.price_lists.reader import table_of  # only now, without the two
    from catalog.records.grids import is_workbook, opener

    if is_workbook(kind, body):
        opener()
    limit(seconds=_SECONDS, memory=_MEMORY)
    try:
        table = table_of(kind, body, choice)
    except Unreadable as unreadable:
        return {"code": unreadable.code, "params": unreadable.params, "sample": unreadable.sample}
    rows = [astuple(row) for row in table.rows]
    return {"rows": rows, "columns": asdict(table.columns), "sample": table.sample, "headings": table.headings}


def main() -> None:
    """Read the file on standard input, write rows or the reason why not."""
    wanted = json.loads(sys.argv[1])
    choice = Choice(**wanted["choice"]) if wanted["choice"] else None
    try:
        written = json.dumps(_answer(wanted["kind"], choice, sys.stdin.buffer.read()), ensure_ascii=False).encode()
    except NO_ROOM:
        written = b'{"code": "too_much", "params": {}}'
    sys.stdout.buffer.write(written)


if __name__ == "__main__":
    main()
