"""The secrets a backup knows of: its own key, the signing key, the mail server's password."""

import os
from pathlib import Path
from typing import Final

from django.conf import settings

from config import env
from config.backup.archive import Member
from config.backup.errors import BackupError

#: Shortest key of a backup, in characters: a few words, or half a line of random ones.
SHORTEST: Final = 20
SIGNING: Final = env.SIGNING_KEY
SMTP: Final = env.SMTP_PASSWORD


def backup_key() -> str:
    """Return the key that backups are encrypted with, nothing when none is set.

    Raises BackupError if the file that should hold it is not there, or if it is too short to protect anything.
    """
    named = env.text("COLDSET_BACKUP_KEY_FILE")
    key = env.secret_of(env.BACKUP_KEY, settings.VAR_DIR)
    if named and not key:
        raise BackupError(f"COLDSET_BACKUP_KEY_FILE names {named}, but there is no key in it. Nothing was done.")
    if key and len(key) < SHORTEST:
        raise BackupError(f"COLDSET_BACKUP_KEY is too short: use {SHORTEST} characters or more. Nothing was done.")
    return key


def secret_members(folder: Path, *, signing_key: bool, mail_password: bool) -> list[Member]:
    """Write the secrets that are wanted, and set, into the folder."""
    wanted = {SIGNING: signing_key, SMTP: mail_password}
    members = []
    for name in wanted:
        if wanted[name] and (text := _present(name)):
            path = folder / name
            write_private(path, text)
            members.append(Member(name, path))
    return members


def write_private(path: Path, text: str) -> None:
    """Write a new file that nobody else can read."""
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
        file.write(f"{text}\n")


def put_back(name: str, text: str) -> str:
    """Put a secret into its file where none is set, and return what became of it: "put", "same" or "other"."""
    present = _present(name)
    if present:
        return "same" if present == text else "other"
    path: Path = settings.VAR_DIR / name
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    path.unlink(missing_ok=True)
    write_private(path, text)
    return "put"


def _present(name: str) -> str:
    """Return a secret that is set. Django's own setting refuses to be read while there is none."""
    return env.secret_of(name, settings.VAR_DIR)
