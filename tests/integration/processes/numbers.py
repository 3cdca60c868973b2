"""Processes that issue documents: a number and a row in one transaction, one in five rolled back.

``numbers race CLERKS ROUNDS`` lets them finish; ``numbers kill CLERKS ROUNDS`` kills all of them, ROUNDS times over.
Prints ``given NUMBER`` after each commit. The clerks are forked from one process, so that starting is quick.
"""

import itertools
import os
import random
import signal
import sys
import time
from collections.abc import Iterable

import django
from django.db import transaction

django.setup()

from django.utils import timezone

from orders.records.models import AuditEntry
from orders.records.numbers import number_next


class Refused(Exception):
    """The issuing transaction goes wrong after the number was given."""


def issue(chance: random.Random, clerk: str) -> str:
    """Return a number and write the document it stands on."""
    with transaction.atomic():
        number = number_next("invoice")
        at = timezone.now()
        AuditEntry.objects.create(document="invoice", document_pk=0, event="issue", by=clerk, at=at, note=number)
        if chance.random() < 0.2:
            raise Refused
    return number


def work(clerk: str, rounds: Iterable[int], at_work: int | None = None) -> None:
    """Issue until the rounds are over; say into ``at_work`` that the first is issued."""
    chance = random.Random(clerk)
    for _ in rounds:
        try:
            number = issue(chance, clerk)
        except Refused:
            continue
        # One write, so that lines of several processes never mix and a killed one leaves no half of a line.
        os.write(1, f"given {number}\n".encode())
        if at_work is not None:
            os.write(at_work, b".")
            at_work = None


def start(clerk: str, rounds: Iterable[int], at_work: int | None = None) -> int:
    """Fork a clerk; no connection is open yet that two processes could share."""
    pid = os.fork()
    if pid:
        return pid
    status = 1
    try:
        work(clerk, rounds, at_work)
        status = 0
    finally:
        os._exit(status)


def main() -> None:
    """Race, or kill."""
    how, clerks, rounds = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    if how == "race":
        pids = [start(f"clerk {number}", range(rounds)) for number in range(clerks)]
        failed = [pid for pid in pids if os.waitpid(pid, 0)[1] != 0]
        sys.exit(len(failed))
    chance = random.Random(7)
    for turn in range(rounds):
        hear, say = os.pipe()
        pids = [start(f"clerk {turn}-{number}", itertools.count(), say) for number in range(clerks)]
        os.read(hear, 1)  # killed at work, not while starting, however slow the machine is
        time.sleep(chance.uniform(0, 0.05))
        for pid in pids:
            os.kill(pid, signal.SIGKILL)
        for pid in pids:
            os.waitpid(pid, 0)
        os.close(hear)
        os.close(say)


if __name__ == "__main__":
    main()
