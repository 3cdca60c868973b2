"""Which errors say "try again in a minute", and which are mistakes of ours."""

import errno
import socket
import sqlite3
from pathlib import Path

import psycopg
import pytest
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.exceptions import SessionInterrupted
from django.db import DatabaseError, Error, IntegrityError, InterfaceError, InternalError, OperationalError

from config.unavailable import is_full, is_unavailable


def wrapped(kind: type[Error], cause: BaseException) -> Error:
    """Return an error as Django raises it: its own, from the database library's."""
    error = kind(str(cause))
    error.__cause__ = cause
    return error


def sqlite_error(*statements: str, file: str = ":memory:", timeout: float = 0) -> sqlite3.Error:
    """Return what SQLite raises at the last statement."""
    connection = sqlite3.connect(file, timeout=timeout, isolation_level=None)
    try:
        for statement in statements[:-1]:
            connection.execute(statement)
        with pytest.raises(sqlite3.Error) as raised:
            connection.execute(statements[-1])
        return raised.value
    finally:
        connection.close()


def test_a_write_lock_of_somebody_else_may_pass(tmp_path: Path) -> None:
    file = str(tmp_path / "a.sqlite3")
    holder = sqlite3.connect(file, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    error = sqlite_error("BEGIN IMMEDIATE", file=file)
    holder.close()
    assert is_unavailable(wrapped(OperationalError, error))


def test_a_full_disk_and_a_read_only_database_may_pass() -> None:
    full = sqlite_error("CREATE TABLE a (b)", "PRAGMA max_page_count = 2", "INSERT INTO a VALUES (zeroblob(100000))")
    read_only = sqlite_error("CREATE TABLE a (b)", "PRAGMA query_only = ON", "INSERT INTO a VALUES (1)")
    assert is_full(wrapped(OperationalError, full))
    assert not is_full(wrapped(OperationalError, read_only))
    assert "full" in str(full)
    assert "readonly" in str(read_only)
    assert is_unavailable(wrapped(OperationalError, full))
    assert is_unavailable(wrapped(OperationalError, read_only))


def test_a_database_file_that_cannot_be_opened_may_pass(tmp_path: Path) -> None:
    with pytest.raises(sqlite3.OperationalError) as raised:
        sqlite3.connect(tmp_path / "nowhere" / "a.sqlite3")
    assert is_unavailable(wrapped(OperationalError, raised.value))


def test_mistakes_in_sql_and_broken_constraints_stay_mistakes() -> None:
    missing = sqlite_error("SELECT * FROM nowhere")
    twice = sqlite_error("CREATE TABLE a (b UNIQUE)", "INSERT INTO a VALUES (1)", "INSERT INTO a VALUES (1)")
    assert not is_unavailable(wrapped(OperationalError, missing))
    assert not is_unavailable(wrapped(IntegrityError, twice))
    assert not is_unavailable(RuntimeError("no"))
    assert not is_unavailable(None)


@pytest.mark.parametrize(
    ("cause", "kind"),
    [
        (psycopg.errors.LockNotAvailable, OperationalError),
        (psycopg.errors.QueryCanceled, OperationalError),
        (psycopg.errors.DeadlockDetected, OperationalError),
        (psycopg.errors.SerializationFailure, OperationalError),
        (psycopg.errors.DiskFull, OperationalError),
        (psycopg.errors.TooManyConnections, OperationalError),
        (psycopg.errors.AdminShutdown, OperationalError),
        (psycopg.errors.CannotConnectNow, OperationalError),
        (psycopg.errors.ReadOnlySqlTransaction, InternalError),
        (psycopg.errors.IoError, OperationalError),
        (psycopg.OperationalError, OperationalError),
        (psycopg.InterfaceError, InterfaceError),
    ],
)
def test_what_postgresql_says_of_locks_resources_and_connections_may_pass(
    cause: type[psycopg.Error], kind: type[Error]
) -> None:
    error = wrapped(kind, cause("message"))
    assert is_unavailable(error)
    assert is_full(error) == (cause is psycopg.errors.DiskFull)


@pytest.mark.parametrize(
    "cause", [psycopg.errors.UniqueViolation, psycopg.errors.UndefinedTable, psycopg.errors.InFailedSqlTransaction]
)
def test_other_errors_of_postgresql_are_mistakes(cause: type[psycopg.Error]) -> None:
    assert not is_unavailable(wrapped(DatabaseError, cause("message")))


def test_a_server_that_refuses_connections_may_pass() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        with pytest.raises(psycopg.OperationalError) as raised:
            psycopg.connect(f"host=127.0.0.1 port={taken.getsockname()[1]} dbname=x user=x connect_timeout=2")
    assert is_unavailable(wrapped(OperationalError, raised.value))


def test_a_disk_without_room_may_pass_and_a_missing_file_not() -> None:
    assert is_unavailable(OSError(errno.ENOSPC, "No space left on device"))
    assert is_full(OSError(errno.ENOSPC, "No space left on device"))
    assert not is_full(OSError(errno.EROFS, "Read-only file system"))
    assert is_unavailable(OSError(errno.EROFS, "Read-only file system"))
    assert not is_unavailable(FileNotFoundError(errno.ENOENT, "No such file"))


def test_a_session_that_could_not_be_written_is_known_by_what_it_came_from() -> None:
    lost, cut = SessionInterrupted("The session was deleted before the request completed."), UpdateError()
    cut.__context__ = wrapped(OperationalError, psycopg.errors.DeadlockDetected("message"))
    lost.__context__ = cut
    assert is_unavailable(lost)
    assert not is_unavailable(SessionInterrupted("gone"))


def test_a_mistake_made_while_telling_it_is_a_mistake() -> None:
    mistake = RuntimeError("no")
    mistake.__context__ = wrapped(OperationalError, psycopg.errors.DeadlockDetected("message"))
    assert not is_unavailable(mistake)
