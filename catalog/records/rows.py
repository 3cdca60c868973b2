"""One row: finding it, taking it out, giving it a place. Inner steps: the caller's transaction holds them."""

from collections.abc import Iterable
from typing import TypeVar

from django.db import models
from django.db.models import ProtectedError, RestrictedError

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


def remove(row: models.Model) -> None:
    """Delete a row that nothing needs.

    Raises
    ------
    InUse
        Naming what needs it; nothing is deleted.
    """
    what = Reason("row", {"name": str(row)})
    users = users_of(row)
    if users:
        raise InUse(what=what, users=users)
    try:
        row.delete()
    except (ProtectedError, RestrictedError) as refused:
        raise InUse(what=what, users=[Reason("added_meanwhile")]) from refused


def next_position(model: type[models.Model]) -> int:
    """Return the place after the last row."""
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
