"""Versions of rows with what belongs to them: no change is overwritten that the person who saves has not seen.

A version is a digest of what is stored, so whoever writes a row moves it: another form, an import, a command.
"""

import hashlib
from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from django.db import models

from catalog.records.errors import ChangedMeanwhile, Overtaken
from catalog.records.reasons import Reason

Row = TypeVar("Row", bound=models.Model)
#: What stands for the version of a form that showed no stored record, or does not say which: never a record's version.
UNSEEN = "unseen"


def version_mark(content: Sequence[object]) -> str:
    """Return a short hash of some content."""
    return hashlib.sha256(repr(content).encode()).hexdigest()[:20]


def stored(row: models.Model, columns: Iterable[str] = ()) -> list[str]:
    """Return some columns of a row as text, or all but its key and its place in the list; a foreign key as the key."""
    columns = columns or [
        field.name for field in row._meta.concrete_fields if not field.primary_key and field.name != "position"
    ]
    return [str(getattr(row, row._meta.get_field(name).attname)) for name in columns]  # type: ignore[union-attr]  # columns only


def unchanged(row: Row | None, version: str, version_of: Callable[[Row], str], *, name: str | Reason) -> Row:
    """Return a row if its version is still the given one.

    Without a version any row is accepted: programs write what they have just read. Pages give one (or `UNSEEN`).

    Read the row by :func:`locked`, in the transaction that writes it.

    Raises
    ------
    ChangedMeanwhile
        When the row was deleted.
    Overtaken
        When its version is no longer ``version``.
    """
    if row is None:
        raise ChangedMeanwhile(what=name)
    if version and version_of(row) != version:
        raise Overtaken(what=name)
    return row


def locked(model: type[Row], pk: int) -> Row | None:
    """Return a row, locked until the transaction ends where the database locks rows; None when it is gone."""
    return model._default_manager.select_for_update().filter(pk=pk).first()


def existing_unchanged(model: type[Row], pk: int, version: str, version_of: Callable[[Row], str]) -> Row:
    """Return a row to be changed: locked, and still of the version its form was opened with.

    Raises
    ------
    ChangedMeanwhile
        When it was deleted since.
    Overtaken
        When somebody saved it since.
    """
    kind = Reason("the_kind", {"kind": str(model._meta.verbose_name)})
    return unchanged(locked(model, pk), version, version_of, name=kind)
