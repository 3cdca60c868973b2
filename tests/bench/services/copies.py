"""Rows copied by the database itself: a whole order with all that hangs on it, thousands of times, within minutes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import connection, models
from django.db.models import DateField, DateTimeField, ForeignKey, Model

#: Days over which the copies are spread.
SPREAD = 3650


class Copier:
    """Copies rows ``copies`` times. Copy ``i`` is ``i`` above its block's base; a reference to a copied row follows.

    The first copy is the oldest, the last one a day older than its original.
    """

    def __init__(self, copies: int) -> None:
        self.copies = copies
        self._bases: dict[tuple[type[Model], int], int] = {}

    def copy(self, row: Model, **columns: str) -> int:
        """Copy a row; ``columns`` are SQL for columns that differ (``s.i`` is the copy's number). Return its base."""
        model = type(row)
        table = model._meta.db_table
        base = _highest(model)
        fields = model._meta.concrete_fields
        values = [self._value(field, row, base, columns) for field in fields]
        names = ", ".join(f'"{field.column}"' for field in fields)
        with connection.cursor() as cursor:
            cursor.execute(
                f"INSERT INTO {table} ({names}) WITH RECURSIVE s(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM s WHERE "  # noqa: S608 - our own names and numbers
                f"i < {self.copies}) SELECT {', '.join(values)} FROM s CROSS JOIN {table} t WHERE t.{_key(model)} = "
                f"{row.pk}"
            )
        self._bases[model, row.pk] = base
        return base

    def copy_all(self, rows: Iterable[Model], **columns: str) -> None:
        """Copy several rows."""
        for row in rows:
            self.copy(row, **columns)

    def _value(self, field: Any, row: Model, base: int, columns: Mapping[str, str]) -> str:
        if field.name in columns:
            return columns[field.name]
        if field.primary_key:
            return f"{base} + s.i"
        if isinstance(field, ForeignKey):
            copied = self._bases.get((field.related_model, getattr(row, field.attname)))  # type: ignore[arg-type]  # a model
            return f't."{field.column}"' if copied is None else f"{copied} + s.i"
        return self._earlier(field)

    def _earlier(self, field: models.Field[Any, Any]) -> str:
        column, days = f't."{field.column}"', f"(({self.copies} - s.i) * {SPREAD} / {self.copies} + 1)"
        if not isinstance(field, DateField):
            return column
        if connection.vendor == "postgresql":
            return (
                f"{column} - {days}"
                if not isinstance(field, DateTimeField)
                else f"{column} - {days} * interval '1 day'"
            )
        return f"{'datetime' if isinstance(field, DateTimeField) else 'date'}({column}, '-' || {days} || ' days')"


def _key(model: type[Model]) -> str:
    pk = model._meta.pk
    assert pk is not None
    return str(pk.column)


def _highest(model: type[Model]) -> int:
    return model._default_manager.aggregate(last=models.Max("pk"))["last"] or 0


def sequences_set(copied: Iterable[type[Model]]) -> None:
    """Let the next row of each table get the next key: PostgreSQL does not see the keys that were given."""
    for model in copied:
        if isinstance(model._meta.pk, models.AutoField):
            sequences_from(_highest(model) + 1, model)


def sequences_from(first: int, model: type[Model]) -> None:
    """Let the next row of a table get a key."""
    if connection.vendor == "postgresql":
        table, key = model._meta.db_table, _key(model)
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT setval(pg_get_serial_sequence('{table}', '{key}'), {first}, false)")
