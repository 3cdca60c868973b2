"""One step of an uploaded file at a time: of two windows, or a window and the outbox, one acts on what it has seen."""

from collections.abc import Callable, Collection
from typing import Any, TypeVar

from django.db import models
from django.db.models import F, QuerySet

from catalog.records.errors import CatalogError
from catalog.records.reasons import Reason

Row = TypeVar("Row", bound=models.Model)
#: Makes the refusal of a code.
Refuse = Callable[[Reason], CatalogError]


def row_to_change(
    rows: QuerySet[Row], pk: int, seen: int | None, among: Collection[str], refuse: Refuse, word: str
) -> Row:
    """Return a row with a ``status`` and a ``step`` that is changed in this transaction.

    ``seen`` is its step as the page showed it, None for programs; ``word`` begins the codes of refusals. Raises what
    ``refuse`` makes if its status is another, or something was done to it since.
    """
    row: Any = rows.get(pk=pk)
    if row.status not in among:
        raise refuse(Reason(f"{word}_{row.status}"))
    if seen is not None and seen != row.step:
        raise refuse(Reason(f"{word}_changed"))
    return row  # type: ignore[no-any-return]  # it is one of the rows


def row_changed(row: Any, refuse: Refuse, word: str, **changes: Any) -> None:
    """Write columns of a row, if nothing was done to it since it was read; raises what ``refuse`` makes if it was."""
    as_read = type(row)._default_manager.filter(pk=row.pk, step=row.step, status=row.status)
    if not as_read.update(step=F("step") + 1, **changes):
        raise refuse(Reason(f"{word}_changed"))
    row.step += 1
