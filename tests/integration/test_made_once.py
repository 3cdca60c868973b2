"""Reinserted rows equal the imported rows, including types and texts."""

import pytest
from django.db import connection, transaction

from catalog.book.services import book_text
from tests import made_once
from tests.factories import kitchen_make

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="elsewhere every kitchen is imported"),
]


def kitchens(times: int) -> list[tuple[str, list[object], list[object]]]:
    """Make the small kitchen in an empty catalog again and again: its Book, its rows, its highest numbers."""
    made: list[tuple[str, list[object], list[object]]] = []
    for _ in range(times):
        before = transaction.savepoint()
        kitchen_make()
        numbers = connection.cursor().execute("SELECT name, seq FROM sqlite_sequence ORDER BY name").fetchall()
        rows: list[object] = [*made_once._rows()]
        made.append((book_text(), rows, [row for row in numbers if str(row[0]).startswith("catalog_")]))
        transaction.savepoint_rollback(before)
    return made


def test_the_second_kitchen_is_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(made_once, "_MADE", {})
    imported, again = kitchens(2)
    assert made_once._MADE
    assert repr(again) == repr(imported)
    assert len(imported[1]) > 10


def test_a_catalog_that_holds_something_is_imported_into(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(made_once, "_MADE", {})
    kitchen_make()
    called: list[str] = []
    made_once.made_once("small kitchen", lambda: called.append("imported"))
    assert called == ["imported"]
