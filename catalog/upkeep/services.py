"""Signs of life are written down: the work behind the pages runs, a backup was made."""

from datetime import datetime, timedelta
from typing import Final

from catalog.upkeep.models import RESTORED, RESTORED_BACKUP, WORK, Backup, Heartbeat

#: A heartbeat is written at most this often, however often it is asked for.
_EVERY: Final = timedelta(seconds=50)


def heartbeat(*, at: datetime) -> None:
    """Write down that the work behind the pages is running; cheap enough for every round."""
    if Heartbeat.objects.filter(process=WORK, at__gt=at - _EVERY, at__lte=at).exists():
        return
    Heartbeat.objects.update_or_create(process=WORK, defaults={"at": at})


def backup_recorded(*, at: datetime, size: int, encrypted: bool) -> None:
    """Write down a backup that was made and checked: ``size`` in bytes."""
    Backup.objects.create(at=at, size=size, encrypted=encrypted)


def restore_recorded(*, made_at: datetime, at: datetime) -> None:
    """Write down that the kitchen was restored from a backup made at ``made_at``: what was done since is not known."""
    for sign, moment in ((RESTORED_BACKUP, made_at), (RESTORED, at)):
        Heartbeat.objects.update_or_create(process=sign, defaults={"at": moment})
