"""The version of a row and of what belongs to it: what a page was opened with, so that no change is overwritten."""

import hashlib
from collections.abc import Callable, Sequence
from typing import TypeVar

from django.db import models

from catalog.records.errors import ChangedMeanwhile

Row = TypeVar("Row", bound=models.Model)


def version_mark(content: Sequence[object]) -> str:
    """Return a short mark of some content: another content has another mark."""
    return hashlib.sha256(repr(content).encode()).hexdigest()[:20]


def unchanged(row: Row | None, version: str, version_of: Callable[[Row], str], *, name: str) -> Row:
    """Return a row that is still as the page showed it; a page without a version takes any.

    Raises
    ------
    ChangedMeanwhile
        When the row is gone, or is no longer what ``version`` marks.
    """
    if row is None or (version and version_of(row) != version):
        raise ChangedMeanwhile(what=name)
    return row
