"""Work that must happen after a change: requested in its commit, done after it, and retried until it succeeds.

A request never does it. The row is the record of the work: the outbox process (``manage.py outbox --loop``) or Celery's
workers take it up at once. A lost message, a stopped broker or a killed worker delays the work but never loses it:
:func:`outbox_tend` releases rows that were interrupted, and wakes what is due.
"""

import logging
import time
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Final

from django.conf import settings
from django.db import transaction
from django.db.models import F, Min, Q
from django.utils.module_loading import import_string

from catalog.outbox.broker import broker_wake
from catalog.outbox.lanes import lanes
from catalog.outbox.models import Outbox
from catalog.outbox.reasons import FOR_GOOD, INTERRUPTED, reason_of
from catalog.records.errors import ChangedMeanwhile
from catalog.records.log_facts import current_log_facts, log_facts, note_log_facts
from catalog.records.reasons import Reason, reason_to_json

logger = logging.getLogger(__name__)

#: Minutes until the next attempt, after the first, second... failed one; after the last the row is failed.
WAITS: Final = (1, 5, 25, 60)
ATTEMPTS: Final = len(WAITS) + 1
#: A row in progress for longer belongs to a worker that died; longer than any lane's limit.
STUCK: Final = timedelta(minutes=10)
#: A row due for longer was not delivered by the broker: it is sent again.
UNDELIVERED: Final = timedelta(seconds=30)
#: Most rows sent again at once.
WAKE_ROWS: Final = 500
#: Longest time until a row is sent again to a broker whose workers do not take it.
LONGEST_WAKE: Final = timedelta(minutes=10)
#: How far apart the clocks of two machines may be.
SKEW: Final = timedelta(minutes=1)

Status = Outbox.Status


def outbox_add(
    *,
    kind: str,
    payload: dict[str, Any],
    about: str,
    summary: str,
    at: datetime,
) -> Outbox:
    """Request work in the caller's transaction; it is done soon after the commit.

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
        run_after=at,
        request_id=str(current_log_facts().get("request_id", "")),
    )
    _wake_on_commit(row)
    return row


def _wake_on_commit(row: Outbox) -> None:
    if settings.CELERY_BROKER_URL:
        transaction.on_commit(partial(broker_wake, [(row.pk, row.kind, row.run_after)]), robust=True)


def outbox_due(*, at: datetime) -> Mapping[str, int]:
    """Return the longest-waiting row that is due, by lane: one query."""
    due = Outbox.objects.filter(_is_due(at), status=Status.WAITING)
    first = due.aggregate(**{lane.name: Min("pk", filter=Q(kind__in=lane.kinds)) for lane in lanes()})
    return {name: row_id for name, row_id in first.items() if row_id is not None}


def _is_due(at: datetime) -> Q:
    return Q(run_after__lte=at) | _from_the_future(at)


def _from_the_future(at: datetime) -> Q:
    """Return the condition that a row waits for longer than its last failure could have put it off.

    The clock was set back since: what was written before it is due at once, instead of when the clock is there again.
    """
    waits = [timedelta(0), *(timedelta(minutes=minutes) for minutes in WAITS)]
    found = Q(attempts__gt=len(WAITS), run_after__gt=at + waits[-1] + SKEW)
    for attempts, wait in enumerate(waits):
        found |= Q(attempts=attempts, run_after__gt=at + wait + SKEW)
    return found


def outbox_claim(*, row_id: int, at: datetime) -> Outbox | None:
    """Claim a row for this process; only one claimer wins. The attempt counts from now, even if it is killed."""
    due = Outbox.objects.filter(_is_due(at), pk=row_id, status=Status.WAITING)
    if not due.update(status=Status.RUNNING, claimed_at=at, attempts=F("attempts") + 1):
        return None
    return Outbox.objects.get(pk=row_id)


def outbox_run(*, row_id: int, at: datetime) -> bool:
    """Do the work of one row, unless it is not due, done, or claimed by another process; return whether it is done now.

    Errors as for :func:`outbox_work`.
    """
    row = outbox_claim(row_id=row_id, at=at)
    return row is not None and outbox_work(row=row, at=at)


@log_facts()
def outbox_work(*, row: Outbox, at: datetime) -> bool:
    """Do the work of a claimed row; return whether it is done now.

    If a handler fails, the reason and the time of the next attempt are written on the row, and no error is raised. An
    interrupt (Ctrl-C, a stop signal) releases the row and is raised again.
    """
    note_log_facts(outbox=row.pk, work=row.kind, about=row.about, request_id=row.request_id)
    try:
        handler: Callable[..., None] = import_string(settings.OUTBOX_HANDLERS[row.kind])
        handler(row=row, at=at)
    except BaseException as error:
        if not _is_failure(error):
            outbox_release(row=row, at=at)
            raise
        logger.exception("outbox row %s (%s), attempt %s, failed", row.pk, row.kind, row.attempts)
        outbox_put_off(row=row, why=reason_of(error), at=at)
        return False
    return _finish(row, status=Status.DONE, done_at=at, error={})


def outbox_release(*, row: Outbox, at: datetime) -> None:
    """Let an interrupted row be tried again at once, if this attempt still owns it."""
    _finish(row, status=Status.WAITING, run_after=at, wake_after=None, error=reason_to_json(INTERRUPTED))


def outbox_put_off(*, row: Outbox, why: Reason, at: datetime) -> None:
    """Write why an attempt failed and when the next one is due, if this attempt still owns the row.

    There is no next one after the last, nor for what another attempt cannot mend.
    """
    if row.attempts >= ATTEMPTS or why.code in FOR_GOOD:
        _finish(row, status=Status.FAILED, error=reason_to_json(why))
    else:
        again = at + timedelta(minutes=WAITS[row.attempts - 1])
        _finish(row, status=Status.WAITING, error=reason_to_json(why), run_after=again, wake_after=None)


def outbox_sweep(*, at: datetime) -> int:
    """Do all rows that are due, and what they request, one after the other in this process; return how many were done.

    For ``manage.py outbox --once``, the demo and tests; in service the lanes do them beside each other.
    """
    outbox_tend(at=at)
    started, done = time.monotonic(), 0
    while True:
        # A sweep can last longer than STUCK: each row is claimed at its own time.
        now = at + timedelta(seconds=time.monotonic() - started)
        due = outbox_due(at=now)
        if not due:
            return done
        done += sum(outbox_run(row_id=row_id, at=now) for row_id in due.values())


def outbox_tend(*, at: datetime) -> None:
    """Release rows whose worker died, and send to the broker what it has not delivered; periodic work."""
    _take_back(at)
    if settings.CELERY_BROKER_URL:
        _wake_again(at)


def _wake_again(at: datetime) -> None:
    """Send rows again that nobody took up: each after twice the time of the last, so that no queue fills up with them.

    Without workers the broker has them all already; only one that lost its memory needs them again.
    """
    late = Q(run_after__lte=at - UNDELIVERED) | _from_the_future(at)
    again = Q(wake_after=None) | Q(wake_after__lte=at) | Q(wake_after__gt=at + LONGEST_WAKE + SKEW)
    rows = list(Outbox.objects.filter(late, again, status=Status.WAITING).order_by("run_after", "pk")[:WAKE_ROWS])
    sent = broker_wake((row.pk, row.kind, min(row.run_after, at)) for row in rows)
    again_at = {row.pk: at + min(max(UNDELIVERED, at - row.run_after), LONGEST_WAKE) for row in rows if row.pk in sent}
    Outbox.objects.bulk_update([Outbox(pk=pk, wake_after=moment) for pk, moment in again_at.items()], ["wake_after"])


@transaction.atomic(durable=True)
def outbox_retry(*, row_id: int, at: datetime) -> None:
    """Try failed or waiting work again now, with a fresh count of attempts.

    Raises
    ------
    ChangedMeanwhile
        If the work is under way, done or gone.
    """
    again = Outbox.objects.filter(pk=row_id, status__in=[Status.FAILED, Status.WAITING])
    if not again.update(status=Status.WAITING, attempts=0, run_after=at, wake_after=None, claimed_at=None):
        raise ChangedMeanwhile(what=Reason("this_work"))
    logger.info("outbox row %s is tried again; the line of this request says who asked", row_id)
    _wake_on_commit(again.get())


def _finish(row: Outbox, **changes: Any) -> bool:
    """Write the outcome if this attempt still owns the row; an attempt that was released as stuck writes nothing."""
    own = Outbox.objects.filter(pk=row.pk, status=Status.RUNNING, attempts=row.attempts)
    return own.update(**changes) == 1


def _take_back(at: datetime) -> None:
    """Schedule interrupted rows for another attempt; a row that killed its worker every time becomes failed."""
    running = Outbox.objects.filter(status=Status.RUNNING)
    # Claimed before the clock was set back: counted from now.
    running.filter(claimed_at__gt=at + SKEW).update(claimed_at=at)
    stuck = running.filter(claimed_at__lt=at - STUCK)
    stuck.filter(attempts__gte=ATTEMPTS).update(status=Status.FAILED, error=reason_to_json(INTERRUPTED))
    stuck.update(status=Status.WAITING, run_after=at, wake_after=None, error=reason_to_json(INTERRUPTED))


def _is_failure(error: BaseException) -> bool:
    """Return whether an error is a failure, not an interrupt. WeasyPrint's refusal to load a file is a failure too."""
    return isinstance(error, Exception) or type(error).__module__.startswith("weasyprint")
