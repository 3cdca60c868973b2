"""Databases shared by several processes, for tests in which processes race or are killed."""

from __future__ import annotations

import os
import secrets
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

ROOT = Path(__file__).parent.parent
#: How pytest-xdist names a run to its workers.
RUN = "PYTEST_XDIST_TESTRUNUID"


@dataclass(frozen=True)
class RealDatabase:
    """Where a database is; ``environment`` makes a process use it."""

    location: str
    postgres: bool = False
    extra: dict[str, str] = field(default_factory=dict)

    @classmethod
    @contextmanager
    def migrated(cls, file: Path) -> Iterator[RealDatabase]:
        """Return an empty database with all tables: the SQLite ``file``, or a new one on the server that is named."""
        server = os.environ.get("COLDSET_DATABASE_URL", "")
        shared = shared_name(os.environ.get(RUN, "")) if server else ""
        template = shared if shared and _is_there(server, shared) else "template1"
        database = cls(_create(server, template), postgres=True) if server else cls(str(file))
        # Where only tests with databases of their own are chosen, the copied one is still empty.
        tables = "information_schema.tables WHERE table_name" if server else "sqlite_master WHERE name"
        if not database.rows(f"SELECT 1 FROM {tables} = 'django_migrations'"):  # noqa: S608
            database.manage("migrate", "--verbosity=0", "--skip-checks")
        try:
            yield database
        finally:
            database.drop()

    @classmethod
    @contextmanager
    def empty(cls, file: Path, **extra: str) -> Iterator[RealDatabase]:
        """Return an empty place: the SQLite ``file``, which is not there, or a new database on the server."""
        server = os.environ.get("COLDSET_DATABASE_URL", "")
        database = cls(_create(server), postgres=True, extra=extra) if server else cls(str(file), extra=extra)
        try:
            yield database
        finally:
            database.drop()

    @contextmanager
    def copy(self, folder: Path) -> Iterator[RealDatabase]:
        """Make a copy for one test."""
        if self.postgres:
            name = urlsplit(self.location).path.lstrip("/")
            copied = RealDatabase(_create(os.environ["COLDSET_DATABASE_URL"], template=name), postgres=True)
        else:
            copied = RealDatabase(str(folder / "test.sqlite3"))
            shutil.copy(self.location, copied.location)
        try:
            yield copied
        finally:
            copied.drop()

    @property
    def environment(self) -> dict[str, str]:
        """The environment of a process that works on this database."""
        place = {"COLDSET_DATABASE_URL" if self.postgres else "COLDSET_DB": self.location}
        base = {name: value for name, value in os.environ.items() if name not in {"COLDSET_DATABASE_URL", "COLDSET_DB"}}
        return {**base, "DJANGO_SETTINGS_MODULE": "tests.settings", "PYTHONPATH": str(ROOT), **place, **self.extra}

    def start(self, module: str, *arguments: str, settings: str = "tests.settings") -> subprocess.Popen[str]:
        """Start ``python -m module`` on this database."""
        return subprocess.Popen(
            [sys.executable, "-m", module, *arguments],
            env={**self.environment, "DJANGO_SETTINGS_MODULE": settings},
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, module: str, *arguments: str, settings: str = "tests.settings") -> str:
        """Run ``python -m module`` on this database and return what it printed."""
        process = self.start(module, *arguments, settings=settings)
        output, errors = process.communicate(timeout=120)
        assert process.returncode == 0, errors
        return output

    def manage(self, *arguments: str) -> str:
        """Run a management command on this database."""
        return self.run("manage", *arguments)

    def refusal(self, *arguments: str) -> str:
        """Run a management command that is refused, and return what it says."""
        process = self.start("manage", *arguments)
        _, errors = process.communicate(timeout=120)
        assert process.returncode == 1, errors
        assert "Traceback" not in errors, errors
        return errors

    def rows(self, query: str) -> list[Sequence[Any]]:
        """Return what a query reads, without Django and its test database."""
        if self.postgres:
            import psycopg  # only where a PostgreSQL is named

            with psycopg.connect(self.location) as connection:
                return list(connection.execute(query.encode()))
        import sqlite3

        connection = sqlite3.connect(self.location, timeout=20)
        try:
            return list(connection.execute(query))
        finally:
            connection.close()

    def drop(self) -> None:
        """Remove it."""
        if self.postgres:
            _drop(os.environ["COLDSET_DATABASE_URL"], urlsplit(self.location).path.lstrip("/"))
        else:
            for end in ("", "-wal", "-shm"):
                Path(self.location + end).unlink(missing_ok=True)


def trigger_count(database: RealDatabase) -> int:
    """Return how many triggers there are."""
    query = "SELECT COUNT(*) FROM sqlite_master WHERE type = 'trigger'"
    if database.postgres:
        query = "SELECT COUNT(*) FROM pg_trigger WHERE NOT tgisinternal"
    return int(database.rows(query)[0][0])


def shared_name(run: str) -> str:
    """Return the name of the database that a run's workers copy on a PostgreSQL server; empty outside of such a run."""
    return f"coldset_migrated_{run[:12]}" if run else ""


def is_locked(table: str) -> bool:
    """Return whether rows of a table of the test's own database are locked by its connection (PostgreSQL)."""
    from django.db import OperationalError, connection  # only in tests with Django's database

    other = connection.copy()
    try:
        with other.cursor() as cursor:
            cursor.execute(f"SELECT 1 FROM {table} FOR UPDATE NOWAIT")  # noqa: S608 - the test names it
            return False
    except OperationalError:
        return True
    finally:
        other.close()


def _create(server: str, template: str = "template1") -> str:
    """Make a PostgreSQL database and return its address."""
    import psycopg  # only where a PostgreSQL is named

    name = f"coldset_{secrets.token_hex(6)}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"'.encode())
    return urlunsplit(urlsplit(server)._replace(path=f"/{name}"))


def _is_there(server: str, name: str) -> bool:
    import psycopg  # only where a PostgreSQL is named

    with psycopg.connect(server) as connection:
        return connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone() is not None


def _drop(server: str, name: str) -> None:
    import psycopg  # only where a PostgreSQL is named

    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)'.encode())
