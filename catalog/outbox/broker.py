"""Handing work to a broker, where one is configured. The row in the database is the work; a message only wakes it."""

import logging
import time
from collections.abc import Iterable
from datetime import datetime
from typing import Final

from django.conf import settings

from catalog.outbox.lanes import lane_of

logger = logging.getLogger(__name__)

#: The task of ``catalog.tasks`` that does one row.
RUN_TASK: Final = "catalog.tasks.outbox_run"
#: Seconds in which a broker that did not answer is not asked again: a request waits for it once at most.
REST: Final = 10.0
#: Seconds between the soft limit of a piece of work, which is told in its row, and the end of its process.
_GRACE: Final = 30

_resting_until = 0.0


def broker_wake(rows: Iterable[tuple[int, str, datetime]]) -> set[int]:
    """Send each row (number, kind, due time) to the queue of its kind's lane; without a broker, or if it is down, none.

    The due time goes along because a worker's clock may be a little behind that of the machine that wrote the row.
    Nothing is raised: the rows are stored, and the next tending of the outbox sends them again. Returns the numbers of
    those that the broker took.
    """
    global _resting_until
    if not settings.CELERY_BROKER_URL or time.monotonic() < _resting_until:
        return set()
    from celery import current_app  # slow to load, and most kitchens have no broker

    sent = set()
    for row_id, kind, due in rows:
        lane = lane_of(kind)
        try:
            current_app.send_task(
                RUN_TASK,
                args=[row_id, due.isoformat()],
                queue=lane.name,
                soft_time_limit=lane.seconds,
                time_limit=lane.seconds + _GRACE,
            )
        except Exception:  # whatever the broker's client raises
            _resting_until = time.monotonic() + REST
            logger.exception("outbox row %s: the broker did not take it; it is sent again later", row_id)
            break
        sent.add(row_id)
    return sent
