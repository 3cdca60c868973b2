"""Backup and restore of PostgreSQL: a dump of one snapshot, and one transaction that takes all of it or nothing."""

import os
import re
import shutil
import subprocess
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import psycopg
from psycopg.conninfo import make_conninfo

from config.backup.archive import CheckedFile, Manifest, Member
from config.backup.damage import POSTGRES_HASHES
from config.backup.errors import BackupError
from config.backup.totals import WITHOUT_ROWS, differences, totals_of

MEMBER: Final = "database.pgdump"
#: Where a database that was replaced is set aside; a backup leaves it out.
_ASIDE: Final = "before_restore_"
_BLOCK: Final = 1 << 20
_MISSING: Final = (
    "{} is not on this machine: install PostgreSQL's client programs (Debian: apt install postgresql-client)."
)
#: Lines for psql alone.
_FOR_PSQL: Final = re.compile(rb"\\(un)?restrict ")
_COPY: Final = re.compile(rb"COPY .* FROM stdin;\n")

Parameters = dict[str, Any]


def version(parameters: Parameters) -> str:
    """Return what the database is, for the list."""
    with _connected(parameters) as connection:
        number = connection.info.server_version
    return f"PostgreSQL {number // 10000}.{number % 10000}"


def snapshot(parameters: Parameters, folder: Path) -> tuple[Member, dict[str, Any]]:
    """Dump the database as it is at one moment, while others write, and return the member and its totals.

    Raises BackupError if pg_dump is missing or fails.
    """
    dump = folder / MEMBER
    with _connected(parameters) as connection:
        connection.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
        (name,) = _query(connection)("SELECT pg_export_snapshot()")[0]
        totals = totals_of(_query(connection), _tables(connection), POSTGRES_HASHES)
        # Left out of the dump too; a database of an earlier version may lack such a table.
        totals["rows"] |= dict.fromkeys(totals["rows"].keys() & set(WITHOUT_ROWS), 0)
        left_out = [f"--exclude-table-data={table}" for table in WITHOUT_ROWS]
        options = ["--format=custom", "--no-owner", "--no-privileges", f"--exclude-schema={_ASIDE}*", *left_out]
        _run([_program("pg_dump", connection), *options, f"--snapshot={name}", f"--file={dump}"], parameters)
        connection.execute("ROLLBACK")
    return Member(MEMBER, dump), totals


def refuse_unless_empty(parameters: Parameters, *, replace: bool) -> None:
    """Refuse a place that holds tables.

    Raises BackupError, also when they are to be replaced but are in use.
    """
    with _connected(parameters) as connection:
        _program("pg_restore", connection)
        if not _tables(connection):
            return
        if not replace:
            raise BackupError(
                f"There are tables in the database {connection.info.dbname!r} already, and nothing was restored. Name "
                "an empty database in COLDSET_DATABASE_URL, or add --replace: what is there is then set aside in a "
                "schema of its own, not deleted."
            )
        # The server's own work, such as an automatic VACUUM, is nobody's: it gives way.
        others = (
            "SELECT COUNT(*) FROM pg_stat_activity "
            "WHERE datname = current_database() AND pid <> pg_backend_pid() AND usesysid IS NOT NULL"
        )
        if _query(connection)(others)[0][0]:
            raise BackupError(
                f"Others are connected to the database {connection.info.dbname!r}: stop the web server and the "
                "workers first. Nothing was restored."
            )


def restore(parameters: Parameters, file: CheckedFile, manifest: Manifest, *, at: datetime) -> str:
    """Restore in one transaction, which is committed only when everything is as the list says.

    Returns the schema in which a database that stood there is now. Raises BackupError; then nothing was changed.
    """
    with _connected(parameters) as connection:
        connection.execute("BEGIN")
        aside = f"{_ASIDE}{at:%Y%m%dt%H%M%S}" if _tables(connection) else ""
        if aside:
            connection.execute(f"ALTER SCHEMA public RENAME TO {aside}".encode())
            connection.execute("CREATE SCHEMA public")
        try:
            with _script(_program("pg_restore", connection), file) as lines:
                _play(connection, lines)
        except psycopg.Error as error:
            raise BackupError(f"The database refused the backup; nothing was restored: {error}") from error
        file.finish()
        connection.execute("SET LOCAL search_path TO public")
        now = totals_of(_query(connection), _tables(connection), POSTGRES_HASHES)
        problems = differences(manifest["totals"], now)
        if problems:
            text = "; ".join(problems)
            raise BackupError(f"What was unpacked is not what was backed up; nothing was restored: {text}")
        connection.execute("COMMIT")
    manifest["totals"]["damaged"] = now["damaged"]  # by name, also where an earlier version counted
    return aside


@contextmanager
def _script(program: str, file: CheckedFile) -> Iterator[Iterable[bytes]]:
    """Let pg_restore turn the dump into statements, line by line.

    Raises BackupError if it fails, so that a script that was cut off is never committed.
    """
    command = [program, "--no-owner", "--no-privileges", "--file=-"]
    feeder, out = os.pipe()
    with subprocess.Popen(command, stdin=feeder, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:  # noqa: S603
        os.close(feeder)
        with _fed(file, out):
            try:
                yield process.stdout or ()
            except BaseException:
                process.kill()  # it would wait for its output to be read
                raise
        problem = process.stderr.read() if process.stderr else b""
    if process.returncode:
        raise BackupError(f"pg_restore could not read the dump; nothing was restored: {problem.decode()}")


@contextmanager
def _fed(file: CheckedFile, out: int) -> Iterator[None]:
    """Write the member into a pipe beside the reading of what comes of it."""
    failed: list[BaseException] = []

    def feed() -> None:
        try:
            with os.fdopen(out, "wb") as pipe:
                while data := file.read(_BLOCK):
                    pipe.write(data)
        except BrokenPipeError:
            pass  # pg_restore gave up, and says why
        except BaseException as error:  # handed to the thread that restores
            failed.append(error)

    thread = threading.Thread(target=feed)
    thread.start()
    try:
        yield
    finally:
        thread.join()
    if failed:
        raise failed[0]


def _play(connection: psycopg.Connection[Any], lines: Iterable[bytes]) -> None:
    """Execute a script of statements and of COPY with its rows."""
    waiting: list[bytes] = []
    source = iter(lines)
    for line in source:
        if _FOR_PSQL.match(line):
            continue
        if not _COPY.fullmatch(line):
            waiting.append(line)
            continue
        _execute(connection, waiting)
        with connection.cursor() as cursor, cursor.copy(line) as rows:
            for row in source:
                if row == b"\\.\n":
                    break
                rows.write(row)
    _execute(connection, waiting)


def _execute(connection: psycopg.Connection[Any], waiting: list[bytes]) -> None:
    if waiting:
        connection.execute(b"".join(waiting))
        waiting.clear()


@contextmanager
def _connected(parameters: Parameters) -> Iterator[psycopg.Connection[Any]]:
    """Open a connection of our own; what it began and did not commit is undone."""
    try:
        connection = psycopg.connect(**parameters, autocommit=True)
    except psycopg.OperationalError as error:
        raise BackupError(f"The database cannot be reached: {error}") from error
    try:
        yield connection
    finally:
        connection.close()


def _query(connection: psycopg.Connection[Any]) -> Any:
    def rows(statement: str) -> list[tuple[Any, ...]]:
        return connection.execute(statement.encode()).fetchall()

    return rows


def _tables(connection: psycopg.Connection[Any]) -> list[str]:
    return [name for (name,) in _query(connection)("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")]


def _program(name: str, connection: psycopg.Connection[Any]) -> str:
    """Return a program of PostgreSQL: of the server's version, or else the newest, which reads all older servers.

    Raises BackupError if there is none.
    """
    places = {int(path.parts[-3]): path for path in Path("/usr/lib/postgresql").glob(f"[0-9]*/bin/{name}")}
    major = connection.info.server_version // 10000
    found = str(places.get(major) or places[max(places)]) if places else shutil.which(name)
    if not found:
        raise BackupError(_MISSING.format(name))
    return found


def _run(command: list[str], parameters: Parameters) -> None:
    """Run a program of PostgreSQL on the database; the password is in no list of processes."""
    known = {"host", "port", "user", "dbname", "sslmode", "sslrootcert", "sslcert", "sslkey", "options"}
    address = make_conninfo(**{name: value for name, value in parameters.items() if name in known})
    environment = {**os.environ, "PGPASSWORD": parameters.get("password") or os.environ.get("PGPASSWORD", "")}
    done = subprocess.run(  # noqa: S603 - a program of PostgreSQL
        [*command, f"--dbname={address}"], env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise BackupError(f"pg_dump failed: {done.stderr.strip()}")
