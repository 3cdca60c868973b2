"""Reading an uploaded file in a process of its own, with a limit of time and memory that no file can pass.

The process gets the file's bytes and nothing else: no settings, no secrets, no database. It answers in JSON. What ends
it from outside (the limit, a crash of a parser) is the file's fault and says so; a process that cannot be started is
not.
"""

import json
import resource
import signal
import subprocess
import sys
from dataclasses import astuple
from pathlib import Path
from typing import Any, Final

from catalog.price_lists.table import TableRow, Unreadable

#: Seconds of computing for a file, after the start; 5,000 rows of 20 columns take one.
_SECONDS: Final = 1.5
#: Seconds on the clock: more than a process that waits for its turn on a busy machine needs.
_PATIENCE: Final = 60
#: Bytes of memory. macOS has no such limit; there the reader's limits of tags and unpacked bytes hold.
_MEMORY: Final = 80 * 1024 * 1024
_ROOT: Final = Path(__file__).resolve().parents[2]


def rows_read(file_name: str, body: bytes) -> list[TableRow]:
    """Return the rows of a file.

    Raises
    ------
    Unreadable
        If it is no price list that can be read, or takes more time or memory than one.
    RuntimeError
        If the process failed for a reason of its own.
    """
    kind = file_name.lower().rpartition(".")[2]
    try:
        ended = subprocess.run(  # noqa: S603 - this program's own module; the file is its input
            [sys.executable, "-m", __name__, "xlsx" if kind == "xlsx" else "csv"],
            input=body,
            capture_output=True,
            timeout=_PATIENCE,
            cwd=_ROOT,
            env={"PYTHONPATH": str(_ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise Unreadable("too_much") from None
    if ended.returncode < 0:
        raise Unreadable("too_much")
    if ended.returncode:
        raise RuntimeError(ended.stderr.decode(errors="replace")[-300:])
    answer = json.loads(ended.stdout)
    if "code" in answer:
        raise Unreadable(answer["code"], **answer["params"])
    return [TableRow(*row) for row in answer["rows"]]


def _answer(kind: str, body: bytes) -> dict[str, Any]:
    # openpyxl takes them up where they are; a price list needs neither, and they double memory and time.
    sys.modules.update(numpy=None, PIL=None)  # type: ignore[call-overload]
    from catalog.price_lists.reader import table_rows  # only now, without the two

    _limit()
    try:
        return {"rows": [astuple(row) for row in table_rows(kind, body)]}
    except Unreadable as unreadable:
        return {"code": unreadable.code, "params": unreadable.params}


def _limit() -> None:
    """End this process when it computes too long, also inside a parser; refuse it memory above its limit."""
    signal.setitimer(signal.ITIMER_PROF, _SECONDS)
    _, most = resource.getrlimit(resource.RLIMIT_DATA)
    if most == resource.RLIM_INFINITY or most > _MEMORY:
        resource.setrlimit(resource.RLIMIT_DATA, (_MEMORY, _MEMORY))


def main() -> None:
    """Read the file on standard input, write rows or the reason why not."""
    try:
        written = json.dumps(_answer(sys.argv[1], sys.stdin.buffer.read()), ensure_ascii=False).encode()
    except MemoryError:
        written = b'{"code": "too_much", "params": {}}'
    sys.stdout.buffer.write(written)


if __name__ == "__main__":
    main()
