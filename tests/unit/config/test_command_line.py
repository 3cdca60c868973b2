"""A wrong setting or a database that does not answer is one sentence that says the fix, and no stack."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest
from django.core.exceptions import ImproperlyConfigured
from django.db.utils import OperationalError, ProgrammingError

from config import env
from config.command_line import database_words

ROOT = Path(__file__).parents[3]


def _manage(folder: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    inherited = {name: value for name, value in os.environ.items() if not name.startswith("COLDSET_")}
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env={**inherited, "DJANGO_SETTINGS_MODULE": "config.settings", "COLDSET_VAR": str(folder), **environment},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(
    ("command", "fix", "log_format"),
    [
        (("serve",), "Make one with", "lines"),
        (("outbox", "--once"), "Make one with", "json"),
        (("account", "add", "odile", "--role", "owner"), "Make one with", "lines"),
        # Refused by the database, and not by the settings.
        (("account", "list"), "run manage.py migrate", "json"),
        (("account", "list"), "run manage.py migrate", "lines"),
    ],
)
def test_what_a_new_place_lacks_is_said_in_one_line(
    tmp_path: Path, command: tuple[str, ...], fix: str, log_format: str
) -> None:
    done = _manage(tmp_path, *command, COLDSET_LOG_FORMAT=log_format)
    assert done.returncode == 1
    assert fix in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_wrong_setting_stops_a_command_in_one_line(tmp_path: Path) -> None:
    done = _manage(tmp_path, "check", COLDSET_HTTPS="maybe")
    assert (done.returncode, done.stderr) == (1, "COLDSET_HTTPS is 'maybe': set it to 1 or 0.\n")


def test_the_web_server_without_a_key_does_not_start_and_its_log_says_the_fix(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import config.wsgi"],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], "COLDSET_VAR": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "Make one with" in done.stderr


def _of(kind: type[Exception], cause: Exception) -> Exception:
    error = kind(str(cause))
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (_of(OperationalError, sqlite3.OperationalError("database or disk is full")), "make room"),
        (_of(OperationalError, sqlite3.OperationalError("unable to open database file")), "COLDSET_DB or COLDSET_VAR"),
        (_of(OperationalError, psycopg.OperationalError("connection refused")), "does not answer: connection refused"),
        (_of(ProgrammingError, psycopg.errors.InsufficientPrivilege("denied")), "as the owner of the tables"),
        (_of(ProgrammingError, psycopg.errors.UndefinedTable("missing")), "run manage.py migrate"),
    ],
)
def test_an_operator_reads_what_to_do_about_the_database(error: OperationalError, words: str) -> None:
    assert words in database_words(error)


def test_an_error_about_a_row_gets_no_words_because_it_quotes_the_row() -> None:
    cause = psycopg.errors.UniqueViolation("Key (email)=(odile@kitchen.example) already exists.")
    assert database_words(_of(ProgrammingError, cause)) == ""  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["foo", "redis://", "http://host", "://host"])
def test_an_address_names_its_scheme_and_host_and_is_never_quoted(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("COLDSET_X", text)
    with pytest.raises(ImproperlyConfigured, match="begin it with redis://") as wrong:
        env.address("COLDSET_X", ("redis", "rediss"))
    assert text not in str(wrong.value).replace("redis://", "", 1) or text == "redis://"


def test_a_host_is_a_name_and_no_address(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLDSET_X", "https://kitchen.example")
    with pytest.raises(ImproperlyConfigured, match="write the name alone"):
        env.hosts("COLDSET_X", "localhost")


def test_a_number_may_have_a_least(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLDSET_X", "0")
    with pytest.raises(ImproperlyConfigured, match="a whole number from 1 on"):
        env.number("COLDSET_X", 2, least=1)


def test_a_file_with_a_secret_that_cannot_be_read_stops_the_start(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "secret-key"
    assert env.secret("COLDSET_X", file) == ""
    file.write_text("a secret")
    assert env.secret("COLDSET_X", file) == "a secret"

    def refused(_: Path) -> str:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_text", refused)
    with pytest.raises(ImproperlyConfigured, match="COLDSET_X_FILE has to name a file"):
        env.secret("COLDSET_X", file)
