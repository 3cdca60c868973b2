"""Test databases that are copied from one migrated before: to migrate takes seconds, for each worker and each run.

On SQLite what is copied is a file of the clone, named by a mark of all code that could migrate otherwise; on PostgreSQL
a database that the workers of a run share, on a server that may be anybody's, and that goes when the run ends.
"""

import fcntl
import hashlib
import os
import platform
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any, Final
from unittest import mock

import django
from django.core import management
from django.db.backends.base.creation import BaseDatabaseCreation

from tests.databases import ROOT, RUN, shared_name

FOLDER: Final = ROOT / "var" / "tests"
_CREATE: Final = BaseDatabaseCreation.create_test_db


@cache
def code_mark() -> str:
    """Return a mark of all that decides what a migrated database holds: the product's code, and what it runs on."""
    mark = hashlib.sha256(f"{platform.python_version()} {django.VERSION}".encode())
    packages = [path for app in ("catalog", "config", "costing", "orders") for path in (ROOT / app).rglob("*.py")]
    for path in sorted([*packages, ROOT / "tests" / "settings.py", ROOT / "constraints.txt"]):
        body = path.read_bytes()
        mark.update(f"{path.relative_to(ROOT)} {len(body)}\n".encode() + body)
    return mark.hexdigest()[:16]


@contextmanager
def migrated_once() -> Iterator[None]:
    """Let Django copy the test database where one is known that was migrated by the same code."""
    with mock.patch.object(BaseDatabaseCreation, "create_test_db", _created):
        yield


def _created(self: BaseDatabaseCreation, *args: Any, **options: Any) -> str:
    of_vendor = {"sqlite": _copied_file, "postgresql": _copied_on_server}.get(self.connection.vendor)
    if of_vendor is None or options.get("keepdb"):
        return str(_CREATE(self, *args, **options))
    FOLDER.mkdir(parents=True, exist_ok=True)
    return of_vendor(self, *args, **options)


def _copied_file(self: Any, *args: Any, **options: Any) -> str:
    known = FOLDER / f"migrated-{code_mark()}.sqlite3"
    with _alone("migrated"):
        if known.exists():
            made = self._create_test_db

            def copied(*about: Any) -> str:
                name = str(made(*about))
                shutil.copy(known, name)
                return name

            with mock.patch.object(self, "_create_test_db", copied), _without_migrating():
                return str(_CREATE(self, *args, **options))
        name = str(_CREATE(self, *args, **options))
        for old in FOLDER.glob("migrated-*.sqlite3"):
            old.unlink()
        unfinished = known.with_suffix(".new")
        unfinished.unlink(missing_ok=True)
        with self.connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(unfinished)])
        unfinished.rename(known)
        return name


def _copied_on_server(self: Any, *args: Any, **options: Any) -> str:
    known = shared_name(os.environ.get(RUN, ""))
    if not known:
        return str(_CREATE(self, *args, **options))
    with _alone(known):
        with self._nodb_cursor() as cursor:
            cursor.execute("SELECT 1 FROM pg_database WHERE datname = %s", [known])
            is_there = cursor.fetchone() is not None
        if not is_there:
            name = str(_CREATE(self, *args, **options))
            # A database is copied while nobody uses it.
            self.connection.close()
            with self._nodb_cursor() as cursor:
                cursor.execute(f'CREATE DATABASE "{known}" TEMPLATE "{name}"')
            return name
    with mock.patch.dict(self.connection.settings_dict["TEST"], {"TEMPLATE": known}), _without_migrating():
        return str(_CREATE(self, *args, **options))


@contextmanager
def _without_migrating() -> Iterator[None]:
    call = management.call_command

    def called(name: str, *args: Any, **options: Any) -> Any:
        return None if name == "migrate" else call(name, *args, **options)

    with mock.patch.object(management, "call_command", called):
        yield


@contextmanager
def _alone(name: str) -> Iterator[None]:
    """Be the only process of this clone that makes a database that others copy."""
    with (FOLDER / f"{name}.lock").open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


def shared_dropped(server: str, run: str) -> None:
    """Drop what the workers of a run copied on a server, when the run has ended."""
    import psycopg  # only where a PostgreSQL is named

    name = shared_name(run)
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}"'.encode())
    (FOLDER / f"{name}.lock").unlink(missing_ok=True)
