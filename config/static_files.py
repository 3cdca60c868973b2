"""Static files: collected once, compressed and named by their content, so that browsers keep them for a year.

Nobody has to remember it: whatever serves the pages calls :func:`collect` first (``config/wsgi.py``). Development and
tests serve the files from where they stand.
"""

from __future__ import annotations

import fcntl
import posixpath
import re
import subprocess
import sys
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.files.base import ContentFile, File
from whitenoise.storage import CompressedManifestStaticFilesStorage

_MARK: Final = "collected-from"
_IMPORT: Final = re.compile(r'^@import "([\w-]+\.css)"( print)?;$', re.MULTILINE)


class CollectedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # it has no types
    """WhiteNoise's storage; a style sheet that imports others becomes one file, and what was collected is noted."""

    def save(self, name: str | None, content: File[Any], max_length: int | None = None) -> str:
        """Save a file as it comes from its source; a sheet of ours with what it imports."""
        if name and posixpath.dirname(name) == "css":
            content = ContentFile(whole_sheet(name).encode())
        return str(super().save(name, content, max_length))

    def post_process(self, paths: dict[str, Any], **options: Any) -> Iterator[Any]:
        """Name and compress the files; then note what they were collected from."""
        # Our sheets are read from where they were saved, with what they import; all else from its source.
        ours = {name: (self, name) for name in paths if posixpath.dirname(name) == "css"}
        yield from super().post_process(paths | ours, **options)
        if not options.get("dry_run"):
            Path(self.path(_MARK)).write_text(_sources())


def whole_sheet(name: str) -> str:
    """Return a style sheet with the sheets it imports in their places."""
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(name)

    def put_in(match: re.Match[str]) -> str:
        inside = whole_sheet(posixpath.join(posixpath.dirname(name), match[1]))
        return f"@media print {{\n{inside}}}" if match[2] else inside

    return _IMPORT.sub(put_in, Path(found).read_text(encoding="utf-8"))


def collect() -> None:
    """Collect the static files, unless those that are there were collected from what the sources are now.

    A process of its own does it, so that the server does not keep the memory that compressing takes. When several
    workers start at once one collects and the others wait.
    """
    if settings.DEBUG or settings.STATIC_ROOT is None:
        return
    folder = Path(settings.STATIC_ROOT)
    if _is_collected(folder):
        return
    folder.mkdir(parents=True, exist_ok=True)
    with (folder.parent / f"{folder.name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not _is_collected(folder):
            command = [sys.executable, "-m", "django", "collectstatic", "--noinput", "--verbosity=0"]
            subprocess.run(command, cwd=settings.BASE_DIR, check=True)  # noqa: S603 - our own command


def _is_collected(folder: Path) -> bool:
    mark = folder / _MARK
    return mark.is_file() and mark.read_text() == _sources()


def _sources() -> str:
    """Return a hash of all static files as they stand."""
    found = sha256()
    for finder in finders.get_finders():
        for path, storage in finder.list(None):
            found.update(f"{path}\n".encode())
            found.update(sha256(Path(storage.path(path)).read_bytes()).digest())
    return found.hexdigest()
