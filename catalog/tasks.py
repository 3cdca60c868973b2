"""Celery tasks: each takes ids or names and calls one service."""

from datetime import datetime

from celery import shared_task
from django.utils import timezone

from catalog.outbox.broker import RUN_TASK
from catalog.outbox.periodic import periodic_work
from catalog.outbox.services import outbox_run


@shared_task(name=RUN_TASK)
def outbox_run_task(row_id: int, due: str) -> None:
    """Do one row that was due at the time given; this machine's clock may still be before it."""
    outbox_run(row_id=row_id, at=max(timezone.now(), datetime.fromisoformat(due)))


@shared_task(name="catalog.tasks.periodic")
def periodic(path: str) -> None:
    """Call one entry of ``settings.PERIODIC_WORK``.

    Raises KeyError for any other.
    """
    periodic_work(path)
