"""How long a page waits for the database: a person at a counter is told after some seconds, not after a minute.

The outbox, the commands and migrations have time; so this is asked for where a web server begins.
"""

from typing import Any, Final

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.signals import connection_created

#: Longest wait for a lock that somebody else holds [ms].
LOCK: Final = 5_000
#: Longest run of one statement, its wait for locks included [ms].
STATEMENT: Final = 9_000
#: A transaction of a page that does nothing for so long is given up [ms].
IDLE: Final = 60_000


def wait_briefly(connection: BaseDatabaseWrapper, *, lock: int = LOCK, statement: int = STATEMENT) -> None:
    """Set how long this connection waits."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"PRAGMA busy_timeout = {lock}")
        elif connection.vendor == "postgresql":
            cursor.execute(
                f"SET lock_timeout = {lock}; SET statement_timeout = {statement};"
                f" SET idle_in_transaction_session_timeout = {IDLE}"
            )


def _on_connection(*, connection: BaseDatabaseWrapper, **_: Any) -> None:
    wait_briefly(connection)


def pages_wait_briefly() -> None:
    """Let every connection that this process opens wait briefly."""
    connection_created.connect(_on_connection, dispatch_uid="pages_wait_briefly")
