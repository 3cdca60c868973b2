"""Files that nobody else on the machine may read: the database, keys, mails, and all else that the service writes.

New files are private whatever the umask was, because the settings set it. Files that were there before, from an earlier
release or copied from elsewhere, are made private when a program starts, where they are its user's own.
"""

import os
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core import checks

from config.env import SECRETS

#: The rights of everybody but the owner.
OTHERS: Final = 0o077


def make_private() -> None:
    """Take from others what they may do with the service's folders and files. What is not ours is left as it is."""
    for path in _own_places():
        with suppress(OSError):
            _tighten(path)


def check_private_files(**_: Any) -> list[checks.CheckMessage]:
    """Warn of files that others can read, for ``manage.py check --deploy``."""
    return [
        checks.Warning(
            f"{path} can be read by other users of this machine.",
            hint=f"Let the service's user own it, and take the rights of others away: chmod go-rwx {path}",
            id="coldset.W001",
        )
        for path in (*_own_places(), *_named_secrets())
        if _mode(path) & OTHERS
    ]


def _own_places() -> Iterator[Path]:
    var: Path = settings.VAR_DIR
    yield var
    yield from (var / name for name in SECRETS)
    yield from (var / "mail", var / "static", var / "cache")
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3") and ":memory:" not in str(database["NAME"]):
        file = Path(database["NAME"])
        yield from (file.with_name(file.name + end) for end in ("", "-wal", "-shm"))
        yield from file.parent.glob(f"{file.name}.before-restore-*")


def _named_secrets() -> Iterator[Path]:
    """Return the files with secrets that stand elsewhere; they are only looked at."""
    named = (os.environ.get(f"{variable}_FILE", "").strip() for variable in SECRETS.values())
    yield from (Path(name) for name in named if name)


def _tighten(path: Path) -> None:
    found = path.lstat()
    if (
        stat.S_ISLNK(found.st_mode)
        or found.st_uid != os.geteuid()
        or not found.st_mode & OTHERS
        or _shared(path, found)
    ):
        return
    if stat.S_ISDIR(found.st_mode) and path != settings.VAR_DIR:
        # What is in an open folder was open too; in a closed one nobody gets at it.
        for inside in path.iterdir():
            _tighten(inside)
    path.chmod(stat.S_IMODE(found.st_mode) & ~OTHERS)


def _shared(path: Path, found: os.stat_result) -> bool:
    """Return whether a folder is meant for more than this service, such as one for everybody's temporary files."""
    return bool(found.st_mode & stat.S_ISVTX) or path.resolve() in {Path("/"), Path.home()}


def _mode(path: Path) -> int:
    try:
        return path.stat().st_mode
    except OSError:
        return 0
