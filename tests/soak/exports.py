"""A process that exports and dies: ``exports KILLS POINT...``; prints what it finds broken. The last export lives."""

import os
import signal
import sys
from pathlib import Path

import django

django.setup()

from django.db import connection

from catalog.outbox.models import Outbox
from orders.register.models import ExportBatch, ExportItem
from tests.soak.export_deed import make


def in_a_process() -> int:
    """Export in a process of its own, and return the signal that ended it."""
    connection.close()
    pid = os.fork()
    if not pid:
        try:
            make()
        finally:
            os._exit(0)
    return os.WTERMSIG(os.waitpid(pid, 0)[1])


def stored() -> tuple[int, int, int]:
    """Return how many exports, exported documents and requests of their files there are."""
    requests = Outbox.objects.filter(kind="export_files")
    return ExportBatch.objects.count(), ExportItem.objects.count(), requests.count()


def main(kills: int, points: list[str]) -> None:
    """Die at each point, then live."""
    folder = Path(os.environ["SOAK_FOLDER"])
    before = stored()
    for point in points:
        for _ in range(kills):
            (folder / point).touch()
            if in_a_process() != signal.SIGKILL:
                sys.stdout.write(f"an export did not reach the point: {point}\n")
                return
            if stored() != before:
                sys.stdout.write(f"an export that died left something: {point}\n")
    in_a_process()


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2:])
