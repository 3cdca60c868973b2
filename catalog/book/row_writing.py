"""Write rows in few statements. Rows are matched by code, so that quotes and orders keep pointing to the same row."""

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from django.db import models
from django.db.models import F

from catalog.records.uses import protected

Row = TypeVar("Row", bound=models.Model)
#: Rows for one statement: small enough for SQLite's limit on variables.
BATCH = 400
#: Position of rows that stay although the Book lacks them: after those of the Book.
AFTER = 1_000_000


def upsert(rows: Iterable[Row], *, by: str = "code") -> dict[Any, int]:
    """Create or update rows of one model by a unique column; return primary keys by that column."""
    rows = list(rows)
    if not rows:
        return {}
    model = type(rows[0])
    columns = [f.name for f in model._meta.concrete_fields if f.name not in ("id", by)]
    model._default_manager.bulk_create(
        rows, update_conflicts=True, unique_fields=[by], update_fields=columns, batch_size=BATCH
    )
    wanted = {getattr(row, by) for row in rows}
    return {key: pk for key, pk in model._default_manager.values_list(by, "pk") if key in wanted}


def create(model: type[Row], rows: Iterable[Row]) -> None:
    """Create rows that have no code of their own."""
    model._default_manager.bulk_create(rows, batch_size=BATCH)


def remove_stale(model: type[models.Model], described: Mapping[Any, int]) -> None:
    """Delete the rows a Book lacks; a row that quotes, orders or remaining rows need stays, marked as no longer used.

    Rows that stay are placed after those of the Book, and marked as not active if the model has such a column.
    """
    stale = set(model._default_manager.exclude(pk__in=list(described.values())).values_list("pk", flat=True))
    needed = protected(model, stale)
    model._default_manager.filter(pk__in=stale - needed).delete()
    columns = {field.name for field in model._meta.concrete_fields}
    rows: models.QuerySet[Any] = model._default_manager.filter(pk__in=needed)
    if "active" in columns:
        rows.update(active=False)
    if "position" in columns:
        rows.filter(position__lt=AFTER).update(position=F("position") + AFTER)
