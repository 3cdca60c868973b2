"""Versions of rows with what belongs to them, for optimistic locking: no change is overwritten unnoticed."""

import hashlib
from collections.abc import Callable, Sequence
from typing import TypeVar

from django.db import models

from catalog.records.errors import ChangedMeanwhile

Row = TypeVar("Row", bound=models.Model)


def version_mark(content: Sequence[object]) -> str:
    """Return a short hash of some content."""
    return hashlib.sha256(repr(content).encode()).hexdigest()[:20]


def unchanged(row: Row | None, version: str, version_of: Callable[[Row], str], *, name: str) -> Row:
    """Return a row if its version is still the given one; without a version any row is accepted.

    Raises
    ------
    ChangedMeanwhile
        When the row was deleted, or its version is no longer ``version``.
    """
    if row is None or (version and version_of(row) != version):
        raise ChangedMeanwhile(what=name)
    return row
