"""The command line: a wrong setting, or a database that does not answer, is told in one sentence and not in a stack."""

import sys
from collections.abc import Sequence
from typing import Final

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line
from django.db import Error as DatabaseError

#: What a database's own words begin with or hold, and what to do then. SQLite gives no other sign of these.
_SQLITE: Final = {
    "no such table": "The tables are not there yet: run manage.py migrate.",
    "no such column": "The tables are those of an older release: run manage.py migrate.",
    "unable to open database file": "The database file cannot be opened: the folder of COLDSET_DB or COLDSET_VAR has "
    "to be there, and writable for this user.",
    "readonly database": "The database file may not be written by this user: run the command as the service's user.",
    "is locked": "The database is locked by something that takes long: try again in a minute.",
    "disk is full": "The disk is full: make room, then do it again.",
}
#: The same by PostgreSQL's codes.
_POSTGRES: Final = {
    "42P01": "The tables are not there yet: run manage.py migrate as their owner.",
    "42703": "The tables are those of an older release: run manage.py migrate as their owner.",
    "42501": "The role in COLDSET_DATABASE_URL may not do this: run the command as the owner of the tables.",
    "53100": "The database's disk is full: make room, then do it again.",
}


def run(arguments: Sequence[str]) -> None:
    """Run a management command; with ``--traceback`` errors are shown as they are."""
    try:
        execute_from_command_line(list(arguments))
    except ImproperlyConfigured as wrong:
        _end(str(wrong), wrong, arguments)
    except DatabaseError as problem:
        _end(database_words(problem), problem, arguments)


def database_words(problem: DatabaseError) -> str:
    """Return what to do about an error of the database; empty where only its stack helps."""
    text, cause = str(problem), problem.__cause__
    for sign, words in _SQLITE.items():
        if sign in text:
            return words
    code = getattr(cause, "sqlstate", None)
    if code is None and type(cause).__name__ in {"OperationalError", "ConnectionTimeout"}:
        return f"The database of COLDSET_DATABASE_URL does not answer: {' '.join(text.split())}"
    return _POSTGRES.get(str(code), "")


def _end(words: str, error: Exception, arguments: Sequence[str]) -> None:
    if not words or "--traceback" in arguments:
        raise error
    sys.stderr.write(f"{words}\n")
    sys.exit(1)
