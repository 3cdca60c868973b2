"""Work that must happen after a change: requested in its commit, done after it, and retried until it succeeds.

The row is the record of the work; a broker, if there is one, only triggers it. A lost message, a stopped broker or a
killed worker delays the work but never loses it: :func:`outbox_sweep` processes rows that are due or were interrupted.
"""

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Final

from celery import current_app
from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.utils.module_loading import import_string

from catalog.outbox.models import Outbox
from catalog.outbox.reasons import INTERRUPTED, reason_of
from catalog.records.errors import ChangedMeanwhile
from catalog.records.log_facts import current_log_facts, log_facts, note_log_facts
from catalog.records.reasons import Reason, reason_to_json

logger = logging.getLogger(__name__)

#: Minutes until the next attempt, after the first, second... failed one; after the last the row is failed.
WAITS: Final = (1, 5, 25, 60)
ATTEMPTS: Final = len(WAITS) + 1
#: A row in progress for longer belongs to a worker that died.
STUCK: Final = timedelta(minutes=10)
#: Most rows one sweep processes; the next sweep takes the rest.
SWEEP_ROWS: Final = 200

#: The task of ``catalog.tasks`` that does one row.
RUN_TASK: Final = "catalog.tasks.outbox_run"

Status = Outbox.Status
_held: ContextVar[bool] = ContextVar("outbox_held", default=False)


def outbox_add(
    *,
    kind: str,
    payload: dict[str, Any],
    about: str,
    summary: str,
    at: datetime,
    run_after: datetime | None = None,
) -> Outbox:
    """Request work in the caller's transaction; it is done right after the commit, or from ``run_after`` on.

    It has no transaction of its own: when the caller's is rolled back, nothing was requested.

    Raises
    ------
    KeyError
        If ``settings.OUTBOX_HANDLERS`` has no handler for the kind.
    """
    if kind not in settings.OUTBOX_HANDLERS:
        raise KeyError(kind)
    row = Outbox.objects.create(
        kind=kind,
        payload=payload,
        about=about,
        summary=summary,
        created_at=at,
        run_after=run_after or at,
        request_id=str(current_log_facts().get("request_id", "")),
    )
    if row.run_after <= at:
        _dispatch_on_commit(row.pk, at)
    return row


@log_facts()
def outbox_run(*, row_id: int, at: datetime) -> bool:
    """Do the work of one row, unless it is not due, done, or claimed by another process; return whether it is done now.

    If a handler fails, the reason and the time of the next attempt are written on the row, and no error is raised. An
    interrupt (Ctrl-C, a stop signal) releases the row and is raised again.
    """
    row = _claim(row_id, at)
    if row is None:
        return False
    note_log_facts(outbox=row.pk, work=row.kind, about=row.about, request_id=row.request_id)
    try:
        handler: Callable[..., None] = import_string(settings.OUTBOX_HANDLERS[row.kind])
        handler(row=row, at=at)
    except BaseException as error:
        if not _is_failure(error):
            _finish(row, status=Status.WAITING, run_after=at, error=reason_to_json(INTERRUPTED))
            raise
        logger.exception("outbox row %s (%s), attempt %s, failed", row.pk, row.kind, row.attempts)
        _put_off(row, reason_of(error), at)
        return False
    return _finish(row, status=Status.DONE, done_at=at, error={})


def outbox_sweep(*, at: datetime) -> int:
    """Release interrupted rows, then do all rows that are due; return how many were done."""
    _take_back(at)
    due = Outbox.objects.filter(status=Status.WAITING, run_after__lte=at).order_by("run_after", "pk")
    started = time.monotonic()
    done = 0
    for row_id in list(due.values_list("pk", flat=True)[:SWEEP_ROWS]):
        # A sweep can last longer than STUCK: each row is claimed at its own time.
        done += outbox_run(row_id=row_id, at=at + timedelta(seconds=time.monotonic() - started))
    return done


@transaction.atomic(durable=True)
def outbox_retry(*, row_id: int, at: datetime) -> None:
    """Try failed or waiting work again now, with a fresh count of attempts.

    Raises
    ------
    ChangedMeanwhile
        If the work is under way, done or gone.
    """
    again = Outbox.objects.filter(pk=row_id, status__in=[Status.FAILED, Status.WAITING])
    if not again.update(status=Status.WAITING, attempts=0, run_after=at, claimed_at=None):
        raise ChangedMeanwhile(what=Reason("this_work"))
    logger.info("outbox row %s is tried again; the line of this request says who asked", row_id)
    _dispatch_on_commit(row_id, at)


@contextmanager
def outbox_held() -> Iterator[None]:
    """Leave work requested inside the block to the sweep: for filling a database, where nobody waits for it."""
    token = _held.set(True)
    try:
        yield
    finally:
        _held.reset(token)


def _dispatch_on_commit(row_id: int, at: datetime) -> None:
    if _held.get():
        return
    transaction.on_commit(partial(_dispatch, row_id, at), robust=True)


def _dispatch(row_id: int, at: datetime) -> None:
    """Send the row to a worker, or do it here when no broker is configured; the request succeeds either way."""
    if not settings.CELERY_BROKER_URL:
        outbox_run(row_id=row_id, at=at)
        return
    try:
        current_app.send_task(RUN_TASK, args=[row_id, at.isoformat()])
    except Exception:  # whatever the broker's client raises: the row is stored, and the sweep does it
        logger.exception("outbox row %s: the broker did not take it; the sweep will", row_id)


def _claim(row_id: int, at: datetime) -> Outbox | None:
    """Claim the row for this process; only one claimer wins. The attempt counts from now, even if it is killed."""
    due = Outbox.objects.filter(pk=row_id, status=Status.WAITING, run_after__lte=at)
    if not due.update(status=Status.RUNNING, claimed_at=at, attempts=F("attempts") + 1):
        return None
    return Outbox.objects.get(pk=row_id)


def _finish(row: Outbox, **changes: Any) -> bool:
    """Write the outcome if this attempt still owns the row; an attempt that was released as stuck writes nothing."""
    own = Outbox.objects.filter(pk=row.pk, status=Status.RUNNING, attempts=row.attempts)
    return own.update(**changes) == 1


def _put_off(row: Outbox, why: Reason, at: datetime) -> None:
    if row.attempts >= ATTEMPTS:
        _finish(row, status=Status.FAILED, error=reason_to_json(why))
    else:
        again = at + timedelta(minutes=WAITS[row.attempts - 1])
        _finish(row, status=Status.WAITING, error=reason_to_json(why), run_after=again)


def _take_back(at: datetime) -> None:
    """Schedule interrupted rows for another attempt; a row that killed its worker every time becomes failed."""
    stuck = Outbox.objects.filter(status=Status.RUNNING, claimed_at__lt=at - STUCK)
    stuck.filter(attempts__gte=ATTEMPTS).update(status=Status.FAILED, error=reason_to_json(INTERRUPTED))
    stuck.update(status=Status.WAITING, run_after=at, error=reason_to_json(INTERRUPTED))


def _is_failure(error: BaseException) -> bool:
    """Return whether an error is a failure, not an interrupt. WeasyPrint's refusal to load a file is a failure too."""
    return isinstance(error, Exception) or type(error).__module__.startswith("weasyprint")
