"""Helpers for one row: find, create, delete, position. They run in the caller's transaction."""

from collections.abc import Iterable, Sequence
from typing import TypeVar

from django.db import models
from django.db.models import ProtectedError, RestrictedError

from catalog.records.codes import free_code
from catalog.records.errors import ChangedMeanwhile, InUse
from catalog.records.reasons import Reason
from catalog.records.uses import users_of

Row = TypeVar("Row", bound=models.Model)


def existing(model: type[Row], pk: int) -> Row:
    """Return a row.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    row = model._default_manager.filter(pk=pk).first()
    if row is None:
        raise ChangedMeanwhile(what=Reason("the_kind", {"kind": str(model._meta.verbose_name)}))
    return row


def new_row(model: type[Row], name: str, *, otherwise: str, reserved: Iterable[str] = ()) -> Row:
    """Return an unsaved row: its code is made from its first name and stays; its position is the last."""
    code = free_code(model, name, otherwise=otherwise, reserved=reserved)
    return model(code=code, position=next_position(model))


def remove(
    row: models.Model,
    *,
    what: str | Reason | None = None,
    users: Sequence[Reason | str] | None = None,
    otherwise: str = "added_meanwhile",
) -> None:
    """Delete a row that nothing needs.

    ``what`` (its name) and its ``users`` are looked up if not given; ``otherwise`` is the code of the refusal when the
    database still protects the row.

    Raises
    ------
    InUse
        Something needs it; nothing is deleted.
    """
    what = what or Reason("row", {"name": str(row)})
    users = users_of(row) if users is None else users
    if users:
        raise InUse(what=what, users=users)
    try:
        row.delete()
    except (ProtectedError, RestrictedError) as refused:
        raise InUse(what=what, users=[Reason(otherwise)]) from refused


def next_position(model: type[models.Model]) -> int:
    """Return the position after the last row."""
    last = model._default_manager.aggregate(last=models.Max("position"))["last"]
    return 0 if last is None else int(last) + 1


def copy_rows(rows: Iterable[models.Model], **owner: models.Model) -> None:
    """Copy rows that belong to something, in their order, to another owner."""
    copies = list(rows)
    for row in copies:
        row.pk = None
        for name, value in owner.items():
            setattr(row, name, value)
    if copies:
        type(copies[0])._default_manager.bulk_create(copies)
