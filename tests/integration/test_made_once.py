"""Reinserted rows equal the imported rows, including types and texts."""

import pytest
from django.db import connection, transaction

from catalog.book.services import book_text
from catalog.taxes.models import TaxCategory
from tests import made_once
from tests.factories import kitchen_make

pytestmark = pytest.mark.django_db


def kitchens(times: int) -> list[tuple[str, list[object], list[object]]]:
    """Make the small kitchen in an empty catalog again and again: its Book, its rows, its highest numbers."""
    made: list[tuple[str, list[object], list[object]]] = []
    for _ in range(times):
        before = transaction.savepoint()
        kitchen_make()
        numbers = highest_numbers()
        rows: list[object] = [*made_once._rows()]
        made.append((book_text(), rows, [row for row in numbers if str(row[0]).startswith("catalog_")]))
        transaction.savepoint_rollback(before)
    return made


def highest_numbers() -> list[tuple[str, int]]:
    read = (
        "SELECT name, seq FROM sqlite_sequence ORDER BY name"
        if connection.vendor == "sqlite"
        else "SELECT sequencename, last_value FROM pg_sequences ORDER BY sequencename"
    )
    with connection.cursor() as cursor:
        cursor.execute(read)
        return list(cursor.fetchall())


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


def test_what_is_added_to_the_second_kitchen_gets_keys_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(made_once, "_MADE", {})
    before = transaction.savepoint()
    kitchen_make()
    transaction.savepoint_rollback(before)
    kitchen_make()
    made = set(TaxCategory.objects.values_list("pk", flat=True))
    assert TaxCategory.objects.create(code="another", name="Another").pk not in made
    assert TaxCategory.objects.count() == len(made) + 1
