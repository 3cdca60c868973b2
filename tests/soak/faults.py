"""Faults injected from outside the product: processes killed at named points, a full disk, a database read-only.

The settings of the soak install this as an app, because every process of the service loads its apps. It changes
nothing unless ``SOAK_FOLDER`` names a folder. A file there with the name of a crash point arms the point: whoever
reaches it first removes the file and dies, so that one file is one death.
"""

import os
import signal
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from functools import wraps
from importlib import import_module
from pathlib import Path
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.db.backends.signals import connection_created

from tests.soak.points import POINTS, Point

#: Files that change what a new connection to SQLite can do: name -> statement.
STORAGE = {"disk-full": "PRAGMA max_page_count = 1", "read-only": "PRAGMA query_only = ON"}
#: Minutes between the attempts of a row; the service's are 1, 5, 25 and 60.
WAITS = (0.01, 0.02, 0.03, 0.05)
#: A row in progress for longer is taken back; longer than the lanes' limits, as in the service.
STUCK = timedelta(seconds=int(os.environ.get("SOAK_STUCK", "12")))


class FaultsConfig(AppConfig):
    """Installs the faults once all other apps are loaded."""

    name = "tests.soak.faults"
    label = "soak_faults"

    def ready(self) -> None:
        """Shorten the waits, and make the points and the storage's faults."""
        folder = os.environ.get("SOAK_FOLDER", "")
        if not folder:
            return
        _shorten()
        if os.environ.get("SOAK_PDF", "") != "real":
            replace("orders.documents.store.pdf_of", lambda _: _stand_in)
        for point in POINTS:
            if os.environ.get("SOAK_PART") == point.part:
                replace(point.function, lambda function, point=point: _deadly(function, point, Path(folder)))
        connection_created.connect(_spoil, weak=False)
        # What is forked in the place of a dead process has everything loaded then.
        for module in (settings.ROOT_URLCONF, *map(_module, settings.OUTBOX_HANDLERS.values())):
            import_module(module)


def _module(path: str) -> str:
    return path.rpartition(".")[0]


def _shorten() -> None:
    services = import_module("catalog.outbox.services")
    services.WAITS, services.STUCK = WAITS, STUCK
    services.UNDELIVERED = timedelta(seconds=3)
    import_module("catalog.outbox.broker").REST = 1.0


def _stand_in(*_: Any, what: str, **_more: Any) -> bytes:
    return b"%PDF-1.7 in place of " + what.encode()


def replace(path: str, make: Callable[[Any], Any]) -> None:
    """Put ``make(function)`` in the place of a function or method named by its path."""
    owner, name = named(path)
    setattr(owner, name, make(getattr(owner, name)))


def named(path: str) -> tuple[Any, str]:
    """Return the module or class that a path names a function of, and the function's name."""
    parts = path.split(".")
    for count in range(len(parts) - 1, 0, -1):
        try:
            owner: Any = import_module(".".join(parts[:count]))
        except ModuleNotFoundError:
            continue
        for name in parts[count:-1]:
            owner = getattr(owner, name)
        return owner, parts[-1]
    raise ModuleNotFoundError(path)


def _deadly(function: Callable[..., Any], point: Point, folder: Path) -> Callable[..., Any]:
    @wraps(function)
    def wrapped(*args: Any, **kwargs: Any) -> Any:
        if point.before:
            _die(folder / point.name)
        answer = function(*args, **kwargs)
        if not point.before:
            _die(folder / point.name)
        return answer

    return wrapped


def _die(file: Path) -> None:
    try:
        file.unlink()
    except FileNotFoundError:
        return
    os.kill(os.getpid(), signal.SIGKILL)


def _spoil(connection: Any, **_: Any) -> None:
    if connection.vendor == "postgresql":
        _spoil_postgres(connection)
        return
    for name, statement in STORAGE.items():
        if (Path(os.environ["SOAK_FOLDER"]) / name).exists():
            with connection.cursor() as cursor:
                cursor.execute(statement)


def _spoil_postgres(connection: Any) -> None:
    with suppress(FileNotFoundError):
        size = (Path(os.environ["SOAK_FOLDER"]) / "disk-full").read_text()
        import_module("tests.soak.postgres_disk").limit_files(connection, int(size))
