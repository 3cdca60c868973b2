"""What a delete takes away, as text that brings it back: rows with all that goes with them, under their own keys."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

from django.apps import apps
from django.core import serializers
from django.core.serializers.base import DeserializationError, DeserializedObject
from django.db import IntegrityError, connection, models, transaction
from django.db.models import ProtectedError, RestrictedError
from django.db.models.deletion import Collector

from catalog.records.errors import CannotUndo

if TYPE_CHECKING:
    Field = models.Field[Any, Any]


@dataclass(frozen=True, slots=True)
class Pointer:
    """A column of a row that stays: the value it had, and the one that the delete gives it."""

    row: models.Model
    column: str
    after: Any = None


def rows_taken(row: models.Model, pointers: Iterable[Pointer] = ()) -> str:
    """Return what deleting a row takes away, as text; empty where the database would refuse that.

    ``pointers`` are columns of other rows that the delete changes beside those the database empties itself.
    """
    collector = Collector(using="default", origin=row)
    try:
        collector.collect([row])
    except (ProtectedError, RestrictedError):
        return ""
    rows = [one for found in collector.data.values() for one in found]
    rows += [one for found in collector.fast_deletes for one in found]
    emptied = (
        Pointer(one, field.attname)
        for (field, _), groups in collector.field_updates.items()
        for group in groups
        for one in cast(Iterable[models.Model], group)
    )
    return json.dumps(
        {
            "rows": serializers.serialize("json", rows),
            "pointers": [_pointer(one) for one in (*emptied, *pointers)],
        }
    )


def _pointer(one: Pointer) -> dict[str, Any]:
    field = _field(type(one.row), one.column)
    changed = type(one.row)(**{one.column: one.after})
    return {
        "model": one.row._meta.label,
        "pk": one.row.pk,
        "column": one.column,
        "before": field.value_to_string(one.row) if getattr(one.row, one.column) is not None else None,
        "after": field.value_to_string(changed) if one.after is not None else None,
    }


def _field(table: type[models.Model], column: str) -> Field:
    return next(field for field in table._meta.concrete_fields if column in (field.attname, field.name))


def rows_bring_back(taken: str) -> None:
    """Bring back what ``rows_taken()`` wrote down; runs in the caller's transaction.

    A pointer is set back where nobody changed it since.

    Raises
    ------
    CannotUndo
        When it is there already, its name or code is another row's by now, or something that it needs is gone.
    """
    try:
        stored = json.loads(taken)
        rows = list(serializers.deserialize("json", stored["rows"]))
        with transaction.atomic():
            _save(rows)
            for pointer in stored["pointers"]:
                _set_back(**pointer)
            connection.check_constraints()
    except (IntegrityError, DeserializationError, ValueError, KeyError) as refused:
        raise CannotUndo from refused


def _save(rows: Iterable[DeserializedObject]) -> None:
    for one in rows:
        if type(one.object)._default_manager.filter(pk=one.object.pk).exists():
            raise CannotUndo
        one.save(force_insert=True)


def _set_back(model: str, pk: int, column: str, before: str | None, after: str | None) -> None:
    table = apps.get_model(model)
    field = _field(table, column)
    unchanged = {f"{column}__isnull": True} if after is None else {column: field.to_python(after)}
    value = None if before is None else field.to_python(before)
    table._default_manager.filter(pk=pk, **unchanged).update(**{column: value})
