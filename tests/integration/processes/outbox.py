"""A process that requests outbox work, does it, or sweeps.

``outbox add COUNT KIND JSON``, ``outbox run ROW``, ``outbox sweep MINUTES_FROM_NOW``, ``outbox race PROCESSES``.
"""

import json
import os
import sys
from datetime import timedelta

import django
from django.conf import settings
from django.db import connection, transaction

django.setup()

from django.utils import timezone

from catalog.outbox.models import Outbox
from catalog.outbox.services import (
    outbox_add,
    outbox_run,
    outbox_sweep,
)
from tests.integration.catalog.outbox.outbox_kinds import HANDLERS, LANES

settings.OUTBOX_HANDLERS, settings.OUTBOX_LANES = HANDLERS, LANES


def add(count: str, kind: str, payload: str) -> None:
    """Request work in one transaction."""
    at = timezone.now()
    with transaction.atomic(durable=True):
        for _ in range(int(count)):
            outbox_add(kind=kind, payload=json.loads(payload), about="", summary="", at=at)


def run(row_id: str) -> None:
    """Do one row, as due a minute from now."""
    outbox_run(row_id=int(row_id), at=timezone.now() + timedelta(minutes=1))


def sweep(minutes: str) -> None:
    """Sweep as if it were later."""
    sys.stdout.write(f"{outbox_sweep(at=timezone.now() + timedelta(minutes=int(minutes)))}\n")


def race(processes: str) -> None:
    """Let several processes do every row at the same time."""
    rows = list(Outbox.objects.values_list("pk", flat=True))
    connection.close()
    pids = []
    for _ in range(int(processes)):
        pid = os.fork()
        if pid == 0:
            for row_id in rows:
                run(str(row_id))
            os._exit(0)
        pids.append(pid)
    sys.exit(sum(os.waitpid(pid, 0)[1] != 0 for pid in pids))


if __name__ == "__main__":
    {"add": add, "run": run, "sweep": sweep, "race": race}[sys.argv[1]](*sys.argv[2:])
