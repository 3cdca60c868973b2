"""Catalogs that many tests start with: created by their service once per process, then inserted row by row.

Importing a Book takes several times as long as writing its rows, and most tests are not about the import.
"""

from collections.abc import Callable, Hashable
from typing import Any

from django.apps import apps
from django.db import connection, transaction
from django.db.models import Model

Rows = list[tuple[str, list[tuple[Any, ...]]]]
_MADE: dict[Hashable, Rows] = {}


def made_once(name: Hashable, make: Callable[[], object]) -> None:
    """In an empty catalog, insert the rows that ``make`` creates there; otherwise call it.

    On PostgreSQL it is always called, because inserting rows with primary keys does not advance its sequences.
    """
    if connection.vendor != "sqlite" or _holds_anything():
        make()
    elif name in _MADE:
        # In one transaction: rows refer to rows of tables that come later.
        with transaction.atomic(), connection.cursor() as cursor:
            for insert, rows in _MADE[name]:
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
    """Read all rows as SQLite keeps them: a sign before a column leaves its value as it is, times as their text."""
    found: Rows = []
    with connection.cursor() as cursor:
        for model in _models():
            table = model._meta.db_table
            columns = [connection.ops.quote_name(field.column) for field in model._meta.local_concrete_fields]
            read = ", ".join(f"+{column}" for column in columns)
            rows = cursor.execute(f"SELECT {read} FROM {table}").fetchall()  # noqa: S608
            places = ", ".join(["%s"] * len(columns))
            insert = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places})"  # noqa: S608
            found += [(insert, rows)] if rows else []
    return found
