"""Time and memory to read a price list, or to refuse one that means harm: the whole process that reads it."""

import os
import sys
import time
from collections.abc import Callable
from resource import RUSAGE_CHILDREN, getrusage

from catalog.price_lists.reader_process import rows_read
from catalog.records.unreadable import Unreadable
from tests.hostile.price_lists import FILES, HEAD, LINE, workbook


def _full() -> bytes:
    """As many rows as a list may have, with twelve columns."""
    rest = '<c t="inlineStr"><is><t>a word</t></is></c>' * 9 + "</row>"
    lines = (LINE.format(row).replace("</row>", rest) for row in range(2, 5002))
    return workbook(HEAD + "".join(lines))


def _reported(name: str, kind: str, make: Callable[[], bytes]) -> None:
    """Read a file in a child of its own, so that the figures are this file's."""
    body = make()
    if child := os.fork():
        os.waitpid(child, 0)
        return
    started = time.perf_counter()
    try:
        outcome = f"{len(rows_read(f'prices.{kind}', body).rows)} rows"
    except Unreadable as unreadable:
        outcome = unreadable.code
    passed, used = time.perf_counter() - started, getrusage(RUSAGE_CHILDREN)
    seconds, memory = used.ru_utime + used.ru_stime, used.ru_maxrss / 1024
    sys.stdout.write(f"{name:42}{len(body) / 1e6:8.2f}{passed:8.2f}{seconds:8.2f}{memory:8.0f}  {outcome}\n")
    sys.stdout.flush()
    os._exit(0)


def main() -> None:
    """Print a line for each file."""
    sys.stdout.write(f"{'price list':42}{'MB':>8}{'s':>8}{'CPU s':>8}{'MiB':>8}  outcome\n")
    sys.stdout.flush()
    _reported("5,000 rows of 12 columns", "xlsx", _full)
    for name, (kind, make, _) in FILES.items():
        _reported(name, kind, make)


if __name__ == "__main__":
    main()
