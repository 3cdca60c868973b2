"""What Celery runs for the catalog's floor: ids in, one service call."""

from datetime import datetime

from celery import shared_task
from django.utils import timezone

from catalog.outbox import services as outbox


@shared_task(name=outbox.RUN_TASK)
def outbox_run_task(row_id: int, due: str) -> None:
    """Do one row. ``due`` is when it was asked for: a worker's clock may be a little behind the web server's."""
    outbox.outbox_run(row_id=row_id, at=max(timezone.now(), datetime.fromisoformat(due)))


@shared_task(name="catalog.tasks.outbox_sweep")
def outbox_sweep() -> None:
    """Take up what is due or was interrupted."""
    outbox.outbox_sweep(at=timezone.now())
