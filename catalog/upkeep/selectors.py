"""How mail, files, the work behind them, backups and the disk are: facts for the owner's page."""

import os
import shutil
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.db.models import Count, Min, Q, QuerySet

from catalog.outbox.models import Outbox
from catalog.outbox.services import STUCK
from catalog.upkeep.models import RESTORED, RESTORED_BACKUP, WORK, Backup, Heartbeat

Status = Outbox.Status
#: Work that is due for longer was taken up by nobody.
UNTOUCHED: Final = timedelta(minutes=2)
#: A loop that was not seen for longer does not run.
SILENT: Final = timedelta(minutes=3)
#: The last one done is among these: one that was tried again is done later than younger ones.
LATEST: Final = 50


@dataclass(frozen=True, slots=True)
class Restore:
    """A restore: when it was, and when its backup had been made. What was done between them is not known here."""

    made_at: datetime
    at: datetime


@dataclass(frozen=True, slots=True)
class WorkState:
    """Mails, or files: the last one done, those that wait and since when, those that failed, and why one waits."""

    last_done_at: datetime | None
    waiting: int
    waiting_since: datetime | None
    failed: int
    problem: Outbox | None

    @property
    def well(self) -> bool:
        """Whether nothing failed or waits because of an error."""
        return not self.failed and self.problem is None


@dataclass(frozen=True, slots=True)
class LoopState:
    """The process that does the work: when it was seen, and since when due work was taken up by nobody."""

    seen_at: datetime | None
    untouched_since: datetime | None
    silent: bool

    @property
    def well(self) -> bool:
        """Whether it runs and keeps up."""
        return not self.silent and self.untouched_since is None


@dataclass(frozen=True, slots=True)
class BackupState:
    """The last backup, and how many days old it may be (0: none is expected)."""

    last: Backup | None
    days: int
    late: bool


@dataclass(frozen=True, slots=True)
class DiskState:
    """Bytes free where the service writes; low when fewer than the settings ask for."""

    free: int
    writable: bool
    low: bool

    @property
    def well(self) -> bool:
        """Whether there is room and it can be written to."""
        return self.writable and not self.low


@dataclass(frozen=True, slots=True)
class Upkeep:
    """Everything the owner's page tells."""

    at: datetime
    mail: WorkState
    mail_to_files: bool
    files: WorkState
    loop: LoopState
    backup: BackupState
    disk: DiskState


def upkeep(*, at: datetime) -> Upkeep:
    """Return how the service is, in a fixed number of queries."""
    mails = Q(kind__in=settings.MAIL_WRITERS)
    return Upkeep(
        at=at,
        mail=_work(Outbox.objects.filter(mails)),
        mail_to_files=settings.EMAIL_BACKEND.endswith("filebased.EmailBackend"),
        files=_work(Outbox.objects.exclude(mails)),
        loop=loop_state(at=at),
        backup=_backup(at),
        disk=disk(),
    )


def disk() -> DiskState:
    """Return the room where the service writes."""
    folder = settings.VAR_DIR
    try:
        free = shutil.disk_usage(folder).free
    except OSError:
        return DiskState(free=0, writable=False, low=True)
    return DiskState(free=free, writable=os.access(folder, os.W_OK), low=free < settings.FREE_MB * 1_000_000)


def untouched_since(*, at: datetime, longer_than: timedelta) -> datetime | None:
    """Return since when the oldest due work was taken up by nobody, or by a process that is gone; None if none is."""
    due = Outbox.objects.filter(status=Status.WAITING, run_after__lte=at - longer_than)
    gone = Outbox.objects.filter(status=Status.RUNNING, claimed_at__lte=at - longer_than - STUCK)
    oldest = (due.aggregate(at=Min("run_after"))["at"], gone.aggregate(at=Min("claimed_at"))["at"])
    return min((moment for moment in oldest if moment), default=None)


def _work(rows: QuerySet[Outbox]) -> WorkState:
    waiting = rows.filter(status__in=[Status.WAITING, Status.RUNNING])
    open_rows = rows.filter(status__in=[Status.WAITING, Status.RUNNING, Status.FAILED])
    failed = Q(status=Status.FAILED)
    found = open_rows.aggregate(
        failed=Count("pk", filter=failed), waiting=Count("pk", filter=~failed), since=Min("created_at", filter=~failed)
    )
    latest = rows.filter(status=Status.DONE).order_by("-pk").values_list("done_at", flat=True)[:LATEST]
    return WorkState(
        last_done_at=max((moment for moment in latest if moment), default=None),
        waiting=found["waiting"],
        waiting_since=found["since"],
        failed=found["failed"],
        problem=waiting.exclude(error={}).order_by("pk").first() if found["waiting"] else None,
    )


def loop_state(*, at: datetime) -> LoopState:
    """Return whether the process that does the work runs and keeps up."""
    seen = Heartbeat.objects.filter(process=WORK).values_list("at", flat=True).first()
    silent = seen is not None and seen < at - SILENT
    return LoopState(seen_at=seen, untouched_since=untouched_since(at=at, longer_than=UNTOUCHED), silent=silent)


def _backup(at: datetime) -> BackupState:
    last, days = Backup.objects.first(), settings.BACKUP_DAYS
    late = bool(days) and (last is None or last.at < at - timedelta(days=days))
    return BackupState(last=last, days=days, late=late)


def last_restore() -> Restore | None:
    """Return the last restore; None where there was none. One query."""
    signs = Heartbeat.objects.filter(process__in=[RESTORED, RESTORED_BACKUP])
    found = dict(signs.values_list("process", "at"))
    return Restore(found[RESTORED_BACKUP], found[RESTORED]) if len(found) == 2 else None
