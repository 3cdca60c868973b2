"""Rows that the services make only after years or in rare cases, written straight into tables with rules."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import connection

from orders.records.immutable_rows import install, remove


@contextmanager
def rules_aside() -> Iterator[None]:
    """Put the rules of immutable rows aside inside the block."""
    editor = connection.schema_editor(atomic=False)
    remove(apps, editor)
    try:
        yield
    finally:
        install(apps, editor)
