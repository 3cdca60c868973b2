"""Backup and restore of an SQLite database: SQLite's own online copy, and a file that takes its place at once."""

import gzip
import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import IO, Any, Final, cast

from config.backup.archive import CheckedFile, Manifest, Member
from config.backup.damage import SQLITE_HASHES, Query
from config.backup.errors import BackupError
from config.backup.totals import WITHOUT_ROWS, differences, totals_of

MEMBER: Final = "database.sqlite3.gz"
_WAIT: Final = 60
_BLOCK: Final = 1 << 20


def version() -> str:
    """Return what the database is, for the list."""
    return f"SQLite {sqlite3.sqlite_version}"


def snapshot(database: Path, folder: Path) -> tuple[Member, dict[str, Any]]:
    """Copy the database as it is at one moment, while others write, and return the member and its totals.

    Raises BackupError if there is none.
    """
    if not database.is_file():
        raise BackupError(f"There is no database at {database}.")
    copy = folder / "database.sqlite3"
    with closing(_opened(database)) as source, closing(_opened(copy)) as target:
        # All pages in one step, in one read transaction: writers go on, and none of their later commits gets in.
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE")
        target.execute("PRAGMA secure_delete=ON")
        # A database of an earlier version may lack such a table.
        for table in set(WITHOUT_ROWS) & set(_tables(target)):
            target.execute(f"DELETE FROM {table}")  # noqa: S608 - names are ours
        target.commit()
        totals = totals_of(_query(target), _tables(target), SQLITE_HASHES)
    packed = folder / MEMBER
    with copy.open("rb") as plain, gzip.open(packed, "wb", compresslevel=3) as out:
        shutil.copyfileobj(plain, out, _BLOCK)
    copy.unlink()
    return Member(MEMBER, packed), totals


def refuse_unless_empty(database: Path, *, replace: bool) -> None:
    """Refuse a place that holds a database.

    Raises BackupError, also when the database is to be replaced but is in use.
    """
    if not database.is_file() or not database.stat().st_size:
        return
    with closing(_opened(database)) as connection:
        if not _tables(connection):
            return
        if not replace:
            raise BackupError(
                f"There is a database at {database} already, and nothing was restored. Name an empty place with "
                "COLDSET_DB, or add --replace: what is there is then set aside under another name, not deleted."
            )
        try:
            # Only the last connection can leave the write-ahead log; this also brings what is in it into the file.
            connection.execute("PRAGMA busy_timeout=2000")
            (mode,) = connection.execute("PRAGMA journal_mode=DELETE").fetchone()
        except sqlite3.OperationalError as error:
            raise BackupError(_IN_USE.format(database)) from error
        if mode != "delete":
            raise BackupError(_IN_USE.format(database))


_IN_USE: Final = "{} is in use: stop the web server and the outbox first. Nothing was restored."


def restore(database: Path, file: CheckedFile, manifest: Manifest, *, at: datetime) -> Path | None:
    """Put the backed-up database in its place in one step, after it was compared with the list.

    Returns where a database that stood there is now. Raises BackupError if something differs; then nothing was changed.
    """
    database.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with _beside(database) as new:
        _unpack(file, new)
        file.finish()
        _compare(new, manifest)
        aside = None
        if database.is_file() and database.stat().st_size:
            aside = database.with_name(f"{database.name}.before-restore-{at:%Y%m%dT%H%M%SZ}")
            os.link(database, aside)
            os.chmod(aside, 0o600)
        for end in ("-wal", "-shm"):
            database.with_name(database.name + end).unlink(missing_ok=True)
        new.replace(database)
        _flush(database.parent)
    return aside


@contextmanager
def _beside(database: Path) -> Iterator[Path]:
    """Return a new file beside the database, which is gone afterwards unless it took the database's place."""
    new = database.with_name(f"{database.name}.restoring")
    with suppress(FileNotFoundError):
        new.unlink()  # of a restore that was killed
    os.close(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        yield new
    finally:
        for end in ("", "-journal", "-wal", "-shm"):
            new.with_name(new.name + end).unlink(missing_ok=True)


def _unpack(file: CheckedFile, new: Path) -> None:
    with new.open("wb") as out, gzip.GzipFile(fileobj=cast(IO[bytes], file), mode="rb") as packed:
        shutil.copyfileobj(packed, out, _BLOCK)
        out.flush()
        os.fsync(out.fileno())


def _compare(new: Path, manifest: Manifest) -> None:
    with closing(_opened(new)) as connection:
        problems = [row[0] for row in connection.execute("PRAGMA integrity_check") if row[0] != "ok"]
        problems += [f"a row of {row[0]} refers to nothing" for row in connection.execute("PRAGMA foreign_key_check")]
        now = totals_of(_query(connection), _tables(connection), SQLITE_HASHES)
    problems += differences(manifest["totals"], now)
    if problems:
        raise BackupError("What was unpacked is not what was backed up; nothing was restored: " + "; ".join(problems))
    manifest["totals"]["damaged"] = now["damaged"]  # by name, also where an earlier version counted


def _opened(database: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(database, timeout=_WAIT)
    connection.create_function("sha256_hex", 1, _sha256_hex, deterministic=True)
    return connection


def _sha256_hex(value: str | bytes) -> str:
    return hashlib.sha256(value.encode() if isinstance(value, str) else value).hexdigest()


def _query(connection: sqlite3.Connection) -> Query:
    return connection.execute


def _tables(connection: sqlite3.Connection) -> list[str]:
    found = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    return [row[0] for row in found]


def _flush(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
