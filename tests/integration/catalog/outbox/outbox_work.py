"""Handlers for the tests of the outbox; they write a row to the database, or fail on request."""

import os
import signal
import sys
import time
from datetime import datetime

from django.db import transaction

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.pantry.models import Supplier


class NotAnException(BaseException):
    """As WeasyPrint's refusal to load a file: no Exception."""


NotAnException.__module__ = "weasyprint.urls"


def mark(*, row: Outbox, at: datetime) -> None:
    """Write the payload's name with the row's number, in a transaction of its own."""
    with transaction.atomic(durable=True):
        Supplier.objects.create(name=f"{row.payload['name']} #{row.pk}")


def fail(*, row: Outbox, at: datetime) -> None:
    """Raise what the payload says."""
    raise ERRORS[row.payload["error"]]


def follow(*, row: Outbox, at: datetime) -> None:
    """Ask for more work, as a PDF asks for its mail."""
    with transaction.atomic(durable=True):
        outbox_add(kind="mark", payload={"name": "followed"}, about=row.about, summary="", at=at)


def slow(*, row: Outbox, at: datetime) -> None:
    """Say that it began, take long the first time, then say that it ended."""
    Supplier.objects.create(name=f"began {row.pk} attempt {row.attempts}")
    sys.stdout.write(f"began {row.pk}\n")
    sys.stdout.flush()
    time.sleep(row.payload["seconds"] if row.attempts == 1 else 0)
    Supplier.objects.create(name=f"ended {row.pk} attempt {row.attempts}")


def die(*, row: Outbox, at: datetime) -> None:
    """Take the process along at the first attempt, as one that runs out of memory does."""
    if row.attempts == 1:
        os.kill(os.getpid(), signal.SIGKILL)
    Supplier.objects.create(name=f"lived {row.pk}")


def stalled_work(*, at: datetime) -> None:
    """Take long, as periodic work."""
    Supplier.objects.create(name="periodic work began")
    time.sleep(60)


ERRORS: dict[str, BaseException] = {
    "refused": ConnectionRefusedError(111, "Connection refused"),
    "plain": ValueError("seven\nof  nine"),
    "weasyprint": NotAnException("file:///x"),
    "interrupt": KeyboardInterrupt(),
}
