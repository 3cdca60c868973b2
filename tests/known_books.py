"""Books of catalogs that another test read before, row by row as they are now: the same Book, and what is known of it.

In service many requests share a Book, with what was worked out from it: what products declare, how they cool. A test
begins with none, and reading and working out the small kitchen takes a tenth of a test's time. A Book follows from the
rows of the catalog alone, so that where every one of them is as it was, the Book of then is today's. It is read from
its rows where a test replaced code or settings; and whatever is known is forgotten after such a test, for it may have
been worked out by what was replaced.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Any

import pytest
from django.apps import apps
from django.conf import UserSettingsHolder, settings
from django.db import connection

from catalog.book import selectors
from catalog.book.known import KnownByBook
from catalog.book.rows import RecordCache
from costing.contract import Book
from tests import remembered

#: So many catalogs are known at most: most tests have the small kitchen as it is imported.
MOST = 60
_KNOWN: dict[int, tuple[int, Book]] = {}
#: The marks of those that the running test has had.
_had: set[int] = set()


def forgotten_between_tests() -> None:
    """Forget what may have been worked out by code that a test replaced, and what is of its orders."""
    if remembered.touched:
        for mark in _had:
            _KNOWN.pop(mark, None)
        remembered.touched.clear()
    _had.clear()
    for known in _of_orders(len(sys.modules)):
        known._books.clear()


@lru_cache(maxsize=1)
def _of_orders(_modules: int) -> tuple[KnownByBook[Any, Any], ...]:
    """Return what packages of orders know of Books: it may be of a quote or an order, and these are the test's own."""
    loaded = [module for name, module in sys.modules.items() if name.startswith("orders.")]
    return tuple(each for module in loaded for each in vars(module).values() if isinstance(each, KnownByBook))


@contextmanager
def books_known() -> Iterator[None]:
    """Give the cache of the Book, where it has to read one, the Book that was read from the same rows."""
    read, shared = selectors._read, selectors._records

    def known(cache: RecordCache) -> tuple[int, Book]:
        if cache is not shared or remembered.touched or isinstance(settings._wrapped, UserSettingsHolder):
            return read(cache)
        mark = _rows_mark()
        if mark not in _KNOWN:
            found = read(cache)
            if _rows_mark() != mark:
                return found
            if len(_KNOWN) >= MOST:
                _KNOWN.clear()
            _KNOWN[mark] = found
        _had.add(mark)
        return _KNOWN[mark]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(selectors, "_read", known)
        remembered.touched.clear()
        yield


def _rows_mark() -> int:
    """Return a mark of all rows of the catalog; read beside Django, so that no test counts these queries."""
    connection.ensure_connection()
    cursor = connection.connection.cursor()
    try:
        every = []
        for model in apps.get_app_config("catalog").get_models(include_auto_created=True):
            cursor.execute(f'SELECT * FROM "{model._meta.db_table}"')  # noqa: S608
            every.append(frozenset(map(repr, cursor.fetchall())))
        return hash(tuple(every))
    finally:
        cursor.close()
