"""The outermost layer of a backup: sealed with a key, or plain with a checksum at its end.

A sealed file is, byte for byte::

    "coldset-backup 1 sealed" LF        24 bytes
    salt                                16 random bytes
    check                               32 bytes: HMAC-SHA256 of the 40 bytes before, under the check key
    chunks                              65,536 bytes of the content each, the last one shorter or as long,
                                        each followed by its tag of 16 bytes

The key's text and the salt give 64 bytes by scrypt (RFC 7914; N = 32,768, r = 8, p = 1): the first 32 are the key of
the content, the last 32 the check key. A chunk is encrypted with ChaCha20-Poly1305 (RFC 8439). Its nonce of 12 bytes is
the chunk's number, big-endian in 11 bytes, and a byte that is 1 for the last chunk and 0 before: the construction
STREAM of Hoang, Reyhanitabar, Rogaway and Vizar, "Online Authenticated-Encryption and its Nonce-Reuse
Misuse-Resistance" (CRYPTO 2015). No chunk can be changed, left out, added or put elsewhere, and the end cannot be cut
off, without the tag of a chunk being wrong. A salt is never used twice, so neither is a nonce under one key.

A plain file is the content (a tar archive), followed by a line ``sha256 HEX`` of all before it, with line ends around.
"""

import hashlib
import hmac
import secrets
from pathlib import Path
from typing import IO, Final

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

from config.backup.errors import BackupError

MAGIC: Final = b"coldset-backup 1 sealed\n"
CHUNK: Final = 65_536
TAG: Final = 16
_SALT: Final = 16
_CHECK: Final = 32
_SCRYPT_N: Final = 32_768
_PLAIN_END: Final = len("\nsha256 \n") + 64

DAMAGED: Final = "The backup is damaged or not complete: nothing was restored. Take another one."
WRONG_KEY: Final = "The key does not fit this backup, or its first lines are damaged: nothing was restored."
NEEDS_KEY: Final = (
    "This backup is encrypted: set COLDSET_BACKUP_KEY or COLDSET_BACKUP_KEY_FILE to the key it was made with."
)
NO_BACKUP: Final = "This file is no backup of Coldset, or it is damaged: nothing was restored."
NEWER: Final = "This backup was made by a later version of Coldset: install that version, then restore."


class SealedWriter:
    """Encrypts what is written to it into ``out``; :meth:`close` writes the last chunk."""

    def __init__(self, out: IO[bytes], key: str) -> None:
        head = MAGIC + secrets.token_bytes(_SALT)
        content_key, check_key = _keys(key, head[len(MAGIC) :])
        out.write(head + hmac.digest(check_key, head, "sha256"))
        self._cipher = ChaCha20Poly1305(content_key)
        self._out = out
        self._waiting = bytearray()
        self._number = 0

    def write(self, data: bytes) -> int:
        """Take bytes; whole chunks go out as soon as it is certain that they are not the last."""
        self._waiting += data
        while len(self._waiting) > CHUNK:
            self._put(bytes(self._waiting[:CHUNK]), last=False)
            del self._waiting[:CHUNK]
        return len(data)

    def close(self) -> None:
        """Write the last chunk."""
        self._put(bytes(self._waiting), last=True)

    def _put(self, chunk: bytes, *, last: bool) -> None:
        self._out.write(self._cipher.encrypt(_nonce(self._number, last=last), chunk, None))
        self._number += 1


class PlainWriter:
    """Writes what it gets into ``out``; :meth:`close` writes the checksum of all of it."""

    def __init__(self, out: IO[bytes]) -> None:
        self._out = out
        self._digest = hashlib.sha256()

    def write(self, data: bytes) -> int:
        """Take bytes."""
        self._digest.update(data)
        self._out.write(data)
        return len(data)

    def close(self) -> None:
        """Write the checksum."""
        self._out.write(f"\nsha256 {self._digest.hexdigest()}\n".encode())


class SealedReader:
    """Decrypts ``source``; every byte it returns is authenticated. A wrong one raises BackupError."""

    def __init__(self, source: IO[bytes], key: str) -> None:
        head = source.read(len(MAGIC) + _SALT)
        content_key, check_key = _keys(key, head[len(MAGIC) :])
        if not hmac.compare_digest(source.read(_CHECK), hmac.digest(check_key, head, "sha256")):
            raise BackupError(WRONG_KEY)
        self._cipher = ChaCha20Poly1305(content_key)
        self._source = source
        self._ahead = source.read(CHUNK + TAG)
        self._number = 0
        self._ready = b""
        self._ended = False

    def read(self, size: int) -> bytes:
        """Return up to ``size`` bytes, fewer only at the end."""
        parts = []
        while size > 0 and (self._ready or self._next()):
            parts.append(self._ready[:size])
            self._ready = self._ready[size:]
            size -= len(parts[-1])
        return b"".join(parts)

    def _next(self) -> bool:
        if self._ended:
            return False
        sealed, self._ahead = self._ahead, self._source.read(CHUNK + TAG)
        self._ended = not self._ahead
        try:
            self._ready = self._cipher.decrypt(_nonce(self._number, last=self._ended), sealed, None)
        except InvalidTag as error:
            raise BackupError(DAMAGED) from error
        self._number += 1
        return bool(self._ready)


class PlainReader:
    """Reads ``source`` after its checksum was compared; a wrong one raises BackupError."""

    def __init__(self, source: IO[bytes], size: int) -> None:
        self._source = source
        self._left = length = size - _PLAIN_END
        if length < 0:
            raise BackupError(NO_BACKUP)
        digest = hashlib.sha256()
        while data := self.read(CHUNK):
            digest.update(data)
        if source.read() != f"\nsha256 {digest.hexdigest()}\n".encode():
            raise BackupError(DAMAGED)
        source.seek(0)
        self._left = length

    def read(self, size: int) -> bytes:
        """Return up to ``size`` bytes, fewer only at the end."""
        data = self._source.read(min(size, self._left))
        self._left -= len(data)
        return data


Writer = SealedWriter | PlainWriter
Reader = SealedReader | PlainReader


def writer(out: IO[bytes], key: str) -> Writer:
    """Return what seals into ``out`` when there is a key, and else what writes plainly."""
    return SealedWriter(out, key) if key else PlainWriter(out)


def is_sealed(path: Path) -> bool:
    """Return whether a file is a sealed backup."""
    with path.open("rb") as file:
        head = file.read(len(MAGIC))
    if head.startswith(MAGIC[:15]) and head != MAGIC and head.endswith(b" sealed\n"):
        raise BackupError(NEWER)
    return head == MAGIC


def reader(source: IO[bytes], path: Path, key: str) -> Reader:
    """Return what reads the backup in ``path``, opened as ``source``.

    Raises BackupError if it needs a key that is missing or wrong.
    """
    if not is_sealed(path):
        return PlainReader(source, path.stat().st_size)
    if not key:
        raise BackupError(NEEDS_KEY)
    return SealedReader(source, key)


def _keys(key: str, salt: bytes) -> tuple[bytes, bytes]:
    derived = hashlib.scrypt(key.encode(), salt=salt, n=_SCRYPT_N, r=8, p=1, maxmem=2**26, dklen=64)
    return derived[:32], derived[32:]


def _nonce(number: int, *, last: bool) -> bytes:
    return number.to_bytes(11, "big") + bytes([last])
