"""Celery tasks of the catalog: each takes ids and calls one service."""

from datetime import datetime

from celery import shared_task
from django.utils import timezone

from catalog.outbox import services as outbox
from catalog.throttle import services as throttle


@shared_task(name=outbox.RUN_TASK)
def outbox_run_task(row_id: int, due: str) -> None:
    """Do one row. ``due`` is when it was requested: a worker's clock may be a little behind the web server's."""
    outbox.outbox_run(row_id=row_id, at=max(timezone.now(), datetime.fromisoformat(due)))


@shared_task(name="catalog.tasks.outbox_sweep")
def outbox_sweep() -> None:
    """Do the rows that are due or were interrupted."""
    outbox.outbox_sweep(at=timezone.now())


@shared_task(name="catalog.tasks.tries_clear")
def tries_clear() -> None:
    """Delete the counts of tries that are over."""
    throttle.tries_clear(at=timezone.now())
