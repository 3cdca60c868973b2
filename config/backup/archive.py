"""The content of a backup: a tar archive that begins with its list, ``manifest.json``.

The list says when and with what the backup was made, what the database held (``config.backup.totals``), and name, size
and SHA-256 of every other member. Members are read one after the other; none is ever held in memory as a whole.
"""

import hashlib
import io
import json
import os
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final, cast

from config.backup.errors import BackupError
from config.backup.sealing import DAMAGED, NEWER, NO_BACKUP, Reader, reader, writer

MANIFEST: Final = "manifest.json"
FORMAT: Final = 1
_BLOCK: Final = 1 << 20
#: Largest list that is read; it grows with the number of tables alone.
_LONGEST_MANIFEST: Final = 16 << 20

Manifest = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Member:
    """A file that goes into a backup under ``name``."""

    name: str
    path: Path


def archive_write(target: Path, manifest: Manifest, members: list[Member], key: str) -> int:
    """Write a backup, 0600 and all of it or nothing, and return its size.

    Raises BackupError if there is a file of that name.
    """
    listed = [_listed(member) for member in members]
    part = target.with_name(f"{target.name}.part")
    out = _created(part)
    try:
        with out:
            sealed = writer(out, key)
            _tar_write(cast(IO[bytes], sealed), {"format": FORMAT, **manifest, "members": listed}, members)
            sealed.close()
            out.flush()
            os.fsync(out.fileno())
        _appear(part, target)
    finally:
        part.unlink(missing_ok=True)
    return target.stat().st_size


def _tar_write(out: IO[bytes], manifest: Manifest, members: list[Member]) -> None:
    text = json.dumps(manifest, indent=1, sort_keys=True).encode()
    with tarfile.open(fileobj=out, mode="w|", format=tarfile.PAX_FORMAT) as tar:
        tar.addfile(_entry(MANIFEST, len(text)), io.BytesIO(text))
        for member, listed in zip(members, manifest["members"], strict=True):
            with member.path.open("rb") as file:
                tar.addfile(_entry(member.name, listed["bytes"]), file)


def _appear(part: Path, target: Path) -> None:
    """Give the finished file its name. A link, unlike a renaming, never replaces a file that appeared meanwhile."""
    try:
        os.link(part, target)
    except FileExistsError as error:
        raise BackupError(f"{target} exists: name a file that does not.") from error
    except OSError:  # a stick or share that knows no links
        part.rename(target)


class Archive:
    """A backup that is being read: its list first, then its members in their order."""

    def __init__(self, source: Reader) -> None:
        self._source = source
        try:
            self._tar = tarfile.open(fileobj=cast(IO[bytes], source), mode="r|")  # noqa: SIM115 - closed with its file
            head = self._tar.next()
        except tarfile.TarError as error:
            raise BackupError(NO_BACKUP) from error
        if head is None or head.name != MANIFEST or not head.isreg() or head.size > _LONGEST_MANIFEST:
            raise BackupError(NO_BACKUP)
        self.manifest: Manifest = json.loads(_file(self._tar, head).read())
        if self.manifest["format"] != FORMAT:
            raise BackupError(NEWER)

    def members(self) -> Iterator[tuple[str, "CheckedFile"]]:
        """Return each member's name and its bytes, which the caller reads to their end.

        Raises BackupError if a member is not what the list says, or if the file's end is damaged.
        """
        for entry in self.manifest["members"]:
            found = self._tar.next()
            if found is None or not found.isreg() or (found.name, found.size) != (entry["name"], entry["bytes"]):
                raise BackupError(DAMAGED)
            file = CheckedFile(_file(self._tar, found), entry["sha256"])
            yield entry["name"], file
            file.finish()
        if self._tar.next() is not None:
            raise BackupError(DAMAGED)
        while self._source.read(_BLOCK):
            pass


class CheckedFile:
    """A member's bytes; at their end their SHA-256 is compared."""

    def __init__(self, file: IO[bytes], sha256: str) -> None:
        self._file = file
        self._sha256 = sha256
        self._digest = hashlib.sha256()

    def read(self, size: int = _BLOCK) -> bytes:
        """Return up to ``size`` bytes; nothing at the end."""
        data = self._file.read(size)
        self._digest.update(data)
        return data

    def finish(self) -> None:
        """Read what is left, and compare.

        Raises BackupError if it is not what was backed up.
        """
        while self.read():
            pass
        if self._digest.hexdigest() != self._sha256:
            raise BackupError(DAMAGED)


@contextmanager
def archive_open(path: Path, key: str) -> Iterator[Archive]:
    """Open a backup.

    Raises BackupError if it cannot be read.
    """
    try:
        file = path.open("rb")
    except OSError as error:
        raise BackupError(f"{path} cannot be read: {error.strerror}.") from error
    with file:
        yield Archive(reader(file, path, key))


def archive_check(path: Path, key: str) -> Manifest:
    """Read a backup to its last byte and return its list.

    Raises BackupError if the key is wrong, or if a byte is wrong or missing anywhere.
    """
    with archive_open(path, key) as archive:
        for _name, _file in archive.members():
            pass
        return archive.manifest


def _created(path: Path) -> IO[bytes]:
    try:
        return os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb")
    except FileExistsError as error:
        raise BackupError(
            f"{path} exists: another backup is under way, or one was cut off. Delete it first."
        ) from error


def _listed(member: Member) -> dict[str, Any]:
    digest = hashlib.sha256()
    size = 0
    with member.path.open("rb") as file:
        while block := file.read(_BLOCK):
            digest.update(block)
            size += len(block)
    return {"name": member.name, "bytes": size, "sha256": digest.hexdigest()}


def _entry(name: str, size: int) -> tarfile.TarInfo:
    entry = tarfile.TarInfo(name)
    entry.size, entry.mode = size, 0o600
    return entry


def _file(tar: tarfile.TarFile, entry: tarfile.TarInfo) -> IO[bytes]:
    file = tar.extractfile(entry)
    if file is None:
        raise BackupError(DAMAGED)
    return file
