"""Whether this process can serve: for a load balancer or a monitor. Codes only, and never an error."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import cache
from typing import Final

from django.conf import settings
from django.db import Error as DatabaseError
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from catalog.upkeep.selectors import disk, loop_state, untouched_since

OK: Final = "ok"


def readiness(*, at: datetime) -> Mapping[str, str]:
    """Return each check with its outcome: ``ok``, or what is wrong."""
    return {**_database(at), "storage": _storage()}


def _database(at: datetime) -> dict[str, str]:
    try:
        connection.ensure_connection()
        migrations = _migrations()
        outbox = "unknown" if migrations != OK else _outbox(at)
    except DatabaseError:
        return {"database": "no_answer", "migrations": "unknown", "outbox": "unknown"}
    return {"database": OK, "migrations": migrations, "outbox": outbox}


def _migrations() -> str:
    applied = MigrationRecorder(connection).applied_migrations()
    return OK if applied.keys() >= _newest_migrations() else "pending"


@cache
def _newest_migrations() -> frozenset[tuple[str, str]]:
    """Return the last migration of each app; the files do not change while a process runs."""
    return frozenset(MigrationLoader(None).graph.leaf_nodes())


def _outbox(at: datetime) -> str:
    if loop_state(at=at).silent:
        return "not_running"
    late = untouched_since(at=at, longer_than=timedelta(minutes=settings.OUTBOX_MINUTES))
    return OK if late is None else "late"


def _storage() -> str:
    room = disk()
    if not room.writable:
        return "not_writable"
    return "low" if room.low else OK
