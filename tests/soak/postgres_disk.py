"""PostgreSQL on a full disk, without special rights.

The system keeps a limit for each process on how large it may make a file, and PostgreSQL takes a write that is cut
short there for what it is on a full disk: "could not extend file", SQLSTATE 53100. So the table of the audit trail,
which every change writes to, is padded until it is as large as a file of the write-ahead log, and new connections may
make no file larger: the first entry that needs another page fails, in the middle of its transaction, as the disk's
last page would make it. Only this database's connections are limited.

Where the limit cannot be set (a server on another machine, another system), a trigger on that table answers with
SQLSTATE 53100 instead; the remark says so.
"""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.db import connection

_TABLE = "orders_auditentry"
#: More pages than many writers at once can have added in reserve.
_FREE_PAGES = 2000
#: A write that begins here is cut short before its page is complete.
_HALF_A_PAGE = 4096
_ENTRY = (
    "INSERT INTO orders_auditentry (document, document_pk, event, before, after, by, at, note, params)"
    " SELECT 'padding', 0, 'padding', '', '', 'padding', now(), repeat('x', 1000), '{}' FROM generate_series(1, %s)"
)
_TRIGGER = f"""
    CREATE FUNCTION soak_disk_full() RETURNS trigger LANGUAGE plpgsql AS
        $$ BEGIN RAISE EXCEPTION 'could not extend file' USING ERRCODE = 'disk_full'; END $$;
    CREATE TRIGGER soak_disk_full BEFORE INSERT ON {_TABLE} EXECUTE FUNCTION soak_disk_full();
"""


@contextmanager
def full_disk(switch: Path) -> Iterator[str]:
    """Let no connection make the audit trail larger, and yield how; ``switch`` tells the processes of the service."""
    size = _padded()
    is_real = _answers_disk_full(size)
    if is_real:
        switch.write_text(str(size))
    else:
        _execute(_TRIGGER)
    end_connections()
    try:
        yield "the system refuses to make files larger" if is_real else "a trigger answers with SQLSTATE 53100"
    finally:
        switch.unlink(missing_ok=True)
        _execute("DROP FUNCTION IF EXISTS soak_disk_full CASCADE")
        _execute(f"ALTER TABLE {_TABLE} RESET (fillfactor)")
        end_connections()


def limit_files(connection: Any, size: int) -> None:
    """Let the server's process of a connection make no file larger.

    Raises
    ------
    OSError, subprocess.SubprocessError
        If it cannot be limited from here.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        pid = cursor.fetchone()[0]
    process = Path(f"/proc/{pid}")
    if not (process / "comm").read_text().startswith("postgres"):
        raise ProcessLookupError(pid)
    user = process.stat()
    # A process may limit those of its own user; the administrator becomes that user for it.
    rights: dict[str, Any] = {"user": user.st_uid, "group": user.st_gid, "extra_groups": []} if not os.getuid() else {}
    subprocess.run(["prlimit", f"--pid={pid}", f"--fsize={size}:"], check=True, stderr=subprocess.DEVNULL, **rights)


def end_connections() -> None:
    """End all connections to this database but the own one; what a new one may do can have changed."""
    _execute(
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
        " WHERE datname = current_database() AND pid <> pg_backend_pid()"
    )


def _padded() -> int:
    """Make the table as large as a file of the write-ahead log, its pages too full for another entry."""
    # With this factor a page takes one entry of padding and no other.
    _execute(f"ALTER TABLE {_TABLE} SET (fillfactor = 10)")
    log = _number("SELECT setting::bigint FROM pg_settings WHERE name = 'wal_segment_size'")
    page = _number("SELECT current_setting('block_size')::bigint")
    while (size := _number(f"SELECT pg_relation_size('{_TABLE}')")) < log:
        _execute(_ENTRY, [(log - size) // page])
    return size + _HALF_A_PAGE


def _answers_disk_full(size: int) -> bool:
    """Use up the pages that are still free, as far as a limited connection can; whether it then met a full disk."""
    import psycopg  # only where a PostgreSQL is named

    try:
        with psycopg.connect(os.environ["COLDSET_DATABASE_URL"], autocommit=True) as limited:
            limit_files(limited, size)
            for _ in range(_FREE_PAGES):
                limited.execute(_ENTRY, [1])
    except (psycopg.Error, OSError, subprocess.SubprocessError) as error:
        return isinstance(error, psycopg.errors.DiskFull)
    return False


def _execute(statement: str, values: list[int] | None = None) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def _number(query: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(query)
        return int(cursor.fetchone()[0])
