"""Processes that issue invoices, some transactions rolled back, some processes dead: ``clerks CLERKS SEED FILE``.

Forked from one process, so that a dead one is replaced within milliseconds. Each issues every draft that is its own,
and appends a line to FILE after each commit: the invoice and the number it was told.
"""

import os
import random
import signal
import sys
import time
from pathlib import Path

import django

django.setup()

from django.db import OperationalError
from django.utils import timezone

from orders.invoices import services
from orders.invoices.models import Invoice
from tests.factories import BY

#: Of 100 numbers given, how many are taken back by a rollback, and how many by the death of the process.
ROLLBACKS, DEATHS = 20, 1
#: Bytes of the log between two deaths by another's hand: some forty numbers.
_BETWEEN = 500


class TakenBack(Exception):
    """The issuing transaction goes wrong after the number was given."""


def work(clerk: int, clerks: int, chance: random.Random, log: int) -> None:
    """Issue every draft that is this clerk's."""
    ask = services.pdf_ask

    def ask_or_fail(**words: object) -> object:
        luck = chance.random() * 100
        if luck < DEATHS:
            os.kill(os.getpid(), signal.SIGKILL)
        if luck < DEATHS + ROLLBACKS:
            raise TakenBack
        return ask(**words)  # type: ignore[arg-type]

    services.pdf_ask = ask_or_fail  # type: ignore[assignment]
    drafts = Invoice.objects.filter(status="draft").order_by("pk").values_list("pk", flat=True)
    mine = [pk for pk in drafts if pk % clerks == clerk]
    while mine:
        pk = mine.pop(0)
        try:
            issued = services.invoice_issue(invoice_id=pk, by=BY, at=timezone.now())
        except TakenBack:
            mine.append(pk)
            continue
        except OperationalError:
            # Sixteen wait for one lock, on a busy machine for longer than the database waits: a clerk tries again.
            mine.append(pk)
            os.write(log, b"failed\n")
            continue
        os.write(log, f"{pk} {issued.number}\n".encode())


def start(clerk: int, clerks: int, seed: str, log: int) -> int:
    """Fork a clerk; no connection is open yet that two processes could share."""
    pid = os.fork()
    if pid:
        return pid
    status = 1
    try:
        work(clerk, clerks, random.Random(seed), log)
        status = 0
    finally:
        os._exit(status)


def main(clerks: int, seed: str, file: Path) -> None:
    """Let all work until they are done; kill one now and then, and replace whoever died."""
    chance, deaths = random.Random(seed), 0
    log = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    at_work = {start(clerk, clerks, f"{seed}-{clerk}", log): clerk for clerk in range(clerks)}
    killed = 0
    while at_work:
        pid, status = os.waitpid(-1, os.WNOHANG)
        if pid:
            clerk = at_work.pop(pid)
            if os.WIFSIGNALED(status):
                deaths += 1
                at_work[start(clerk, clerks, f"{seed}-{clerk}-{deaths}", log)] = clerk
            elif status:
                sys.exit(f"clerk {clerk} failed")
        elif (written := os.fstat(log).st_size) > killed + _BETWEEN:
            killed = written
            os.kill(chance.choice(list(at_work)), signal.SIGKILL)
        else:
            time.sleep(0.01)
    sys.stdout.write(f"{deaths}\n")


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2], Path(sys.argv[3]))
