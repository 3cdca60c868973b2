"""Making a backup and restoring one, whatever database is in use."""

import os
import platform
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import django
from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from catalog.upkeep.models import Heartbeat
from catalog.upkeep.services import restore_recorded
from config.backup import postgres_dump, sqlite_file
from config.backup.archive import CheckedFile, Manifest, archive_check, archive_open, archive_write
from config.backup.errors import BackupError
from config.backup.keys import SIGNING, SMTP, backup_key, put_back, secret_members

_SECRETS: Final = (SIGNING, SMTP)
#: Longest secret that is read back.
_LONGEST_SECRET: Final = 65_536
#: How the name of a folder begins in which a copy is being made.
_UNFINISHED: Final = "unfinished-backup-"
#: Seconds after which nobody makes that copy any more.
_CUT_OFF: Final = 24 * 60 * 60


@dataclass(frozen=True, slots=True)
class BackupFile:
    """A backup that was made."""

    path: Path
    size: int
    encrypted: bool
    members: tuple[str, ...]
    manifest: Manifest


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored: where a replaced database is now, what became of the secrets, and whether to migrate."""

    manifest: Manifest
    aside: str
    secrets: dict[str, str] = field(default_factory=dict)
    migrations_missing: bool = False


def backup_make(*, path: Path, signing_key: bool, mail_password: bool, at: datetime) -> BackupFile:
    """Back up the database of the settings and the secrets beside it into a new file, while the service goes on.

    Raises
    ------
    BackupError
        If there is no database, a program or a key is missing, or the file exists.
    """
    key = backup_key()
    if path.exists():
        raise BackupError(f"{path} exists: name a file that does not.")
    with _work_folder() as folder:
        database, totals = _snapshot(folder)
        members = [*secret_members(folder, signing_key=signing_key, mail_password=mail_password), database]
        manifest = {"made_at": at.isoformat(), "kind": connection.vendor, "versions": _versions(), "totals": totals}
        size = archive_write(path, manifest, members, key)
    return BackupFile(path, size, bool(key), tuple(member.name for member in members), manifest)


def backup_check(path: Path) -> Manifest:
    """Read a backup to its end and return its list; raises BackupError if anything is wrong with it."""
    return archive_check(path, backup_key())


def backup_restore(*, path: Path, replace: bool, at: datetime) -> Restored:
    """Restore a backup into the database of the settings, which has to be empty unless it is to be replaced.

    Raises
    ------
    BackupError
        If the file is damaged, the key wrong, the place not empty, or the backup of another kind of database, or if
        what comes out is not what was backed up. Nothing was changed then.
    """
    key = backup_key()
    manifest = archive_check(path, key)
    _refuse_other_kind(manifest)
    missing = _migrations_missing(manifest)
    if connection.vendor == "sqlite":
        sqlite_file.refuse_unless_empty(_sqlite_path(), replace=replace)
    else:
        postgres_dump.refuse_unless_empty(connection.get_connection_params(), replace=replace)
    aside = ""
    with archive_open(path, key) as archive, _put_back() as secrets:
        for name, file in archive.members():
            if name in _SECRETS:
                secrets[name] = put_back(name, file.read(_LONGEST_SECRET).decode().strip())
            else:
                aside = _restore_database(name, file, manifest, at)
    _note_restore(manifest, at)
    return Restored(manifest, aside, secrets, missing)


def _note_restore(manifest: Manifest, at: datetime) -> None:
    """Write into what was restored when that was; a backup from before this table knows nothing of it."""
    if Heartbeat._meta.db_table in connection.introspection.table_names():
        restore_recorded(made_at=datetime.fromisoformat(manifest["made_at"]), at=at)


@contextmanager
def _put_back() -> Iterator[dict[str, str]]:
    """Collect what became of the secrets, and take them away again when the database cannot be restored."""
    secrets: dict[str, str] = {}
    try:
        yield secrets
    except BaseException:
        for name, outcome in secrets.items():
            if outcome == "put":
                (settings.VAR_DIR / name).unlink(missing_ok=True)
        raise


def _snapshot(folder: Path) -> tuple[Any, dict[str, Any]]:
    if connection.vendor == "sqlite":
        return sqlite_file.snapshot(_sqlite_path(), folder)
    return postgres_dump.snapshot(connection.get_connection_params(), folder)


def _restore_database(name: str, file: CheckedFile, manifest: Manifest, at: datetime) -> str:
    # The member's bytes are compared before its database takes its place.
    if name == sqlite_file.MEMBER and connection.vendor == "sqlite":
        aside = sqlite_file.restore(_sqlite_path(), file, manifest, at=at)
        return str(aside or "")
    if name == postgres_dump.MEMBER and connection.vendor == "postgresql":
        return postgres_dump.restore(connection.get_connection_params(), file, manifest, at=at)
    raise BackupError(f"Nobody knows what {name!r} in this backup is. Nothing was restored.")


def _refuse_other_kind(manifest: Manifest) -> None:
    names = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}
    made, here = manifest["kind"], connection.vendor
    if made != here:
        raise BackupError(
            f"This is a backup of {names.get(made, made)}, and the settings name {names[here]}: nothing was restored. "
            + _THERE.get(made, "")
        )


_THERE: Final = {
    "sqlite": "Restore it without COLDSET_DATABASE_URL, into an SQLite file.",
    "postgresql": "Name an empty PostgreSQL database in COLDSET_DATABASE_URL.",
}


def _migrations_missing(manifest: Manifest) -> bool:
    """Return whether this code has migrations the backup lacks.

    Raises BackupError if the backup has some that this code lacks.
    """
    known = set(MigrationLoader(None).disk_migrations)
    applied = {(app, name) for app, name in manifest["totals"]["migrations"]}
    later = sorted(applied - known)
    if later:
        raise BackupError(
            f"This backup was made by another version of Coldset ({'.'.join(later[-1])} is not known here): install "
            "that version, restore, and then go on from there. Nothing was restored."
        )
    return bool(known - applied)


def _versions() -> dict[str, str]:
    if connection.vendor == "sqlite":
        database = sqlite_file.version()
    else:
        database = postgres_dump.version(connection.get_connection_params())
    return {"django": django.__version__, "python": platform.python_version(), "database": database}


def _sqlite_path() -> Path:
    name = str(connection.settings_dict["NAME"])
    if ":memory:" in name:
        raise BackupError("The database is in memory alone: name a file in COLDSET_DB.")
    return Path(name)


@contextmanager
def _work_folder() -> Iterator[Path]:
    """Return a private folder for the copy that is being made, beside the database and not where others read.

    A backup that was killed leaves its folder, with a copy that is not encrypted: a later one takes that away.
    """
    settings.VAR_DIR.mkdir(parents=True, exist_ok=True, mode=0o700)
    for left in settings.VAR_DIR.glob(f"{_UNFINISHED}*"):
        if left.stat().st_mtime < time.time() - _CUT_OFF:
            shutil.rmtree(left, ignore_errors=True)
    folder = Path(tempfile.mkdtemp(prefix=_UNFINISHED, dir=settings.VAR_DIR))
    os.chmod(folder, 0o700)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
