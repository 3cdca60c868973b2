"""Catalogs that many tests start with: created by their service once per process, then inserted row by row.

Importing a Book takes several times as long as writing its rows, and most tests are not about the import.
"""

from collections.abc import Callable, Hashable
from typing import Any

from django.apps import apps
from django.db import connection, transaction
from django.db.models import Model

#: What a table held: the statement that inserts it, and its rows, or on PostgreSQL the text of them all.
Rows = list[tuple[str, Any]]
_MADE: dict[Hashable, Rows] = {}


def made_once(name: Hashable, make: Callable[[], object]) -> None:
    """In an empty catalog, insert the rows that ``make`` creates there; otherwise call it.

    The rows get the keys that they had before. On PostgreSQL its sequences are beyond these: they never go back.
    """
    if _holds_anything():
        make()
    elif name in _MADE:
        # In one transaction: rows refer to rows of tables that come later.
        with transaction.atomic(), connection.cursor() as cursor:
            for insert, rows in _MADE[name]:
                if connection.vendor == "postgresql":
                    with cursor.copy(insert) as copied:
                        copied.write(rows)
                else:
                    cursor.executemany(insert, rows)
    else:
        make()
        _MADE[name] = _rows()


def _models() -> list[type[Model]]:
    return list(apps.get_app_config("catalog").get_models(include_auto_created=True))


def _holds_anything() -> bool:
    any_row = " OR ".join(f"EXISTS (SELECT 1 FROM {model._meta.db_table})" for model in _models())  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {any_row}")
        return bool(cursor.fetchone()[0])


def _rows() -> Rows:
    """Read all rows as the database keeps them."""
    found: Rows = []
    with connection.cursor() as cursor:
        for model in _models():
            columns = [connection.ops.quote_name(field.column) for field in model._meta.local_concrete_fields]
            read = _copied if connection.vendor == "postgresql" else _selected
            insert, rows = read(cursor, model._meta.db_table, columns)
            found += [(insert, rows)] if rows else []
    return found


def _copied(cursor: Any, table: str, columns: list[str]) -> tuple[str, bytes]:
    place = f"{table} ({', '.join(columns)})"
    with cursor.copy(f"COPY {place} TO STDOUT") as copied:
        return f"COPY {place} FROM STDIN", b"".join(copied)


def _selected(cursor: Any, table: str, columns: list[str]) -> tuple[str, list[tuple[Any, ...]]]:
    """A sign before a column leaves its value as SQLite keeps it, times as their text."""
    rows = cursor.execute(f"SELECT {', '.join(f'+{column}' for column in columns)} FROM {table}").fetchall()  # noqa: S608
    places = ", ".join(["%s"] * len(columns))
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places})", rows  # noqa: S608
