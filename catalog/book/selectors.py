"""The Book of the current revision, read from rows once per revision and process."""

from dataclasses import dataclass
from threading import RLock
from typing import Final

from django.db import transaction

from catalog.book.problems import NO_KITCHEN, BookProblem, problems_of
from catalog.book.sections import all_sections
from catalog.kitchen.models import Kitchen
from catalog.records.errors import CannotPrice
from catalog.records.reasons import Reason
from costing.contract import Book, CostingError, InputErrors, check_book
from costing.contract import book as values

_TRIES: Final = 5
#: A Book being read; each section adds its values.
_BLANK: Final = Book("", values.Kitchen(values.ZERO))


@dataclass(frozen=True, slots=True)
class CatalogBook:
    """The Book of one revision, with its problems."""

    revision: int
    book: Book
    errors: tuple[CostingError, ...]


#: The last revision read in this process.
_cache: dict[int, CatalogBook] = {}
#: Held while the Book is read, so that other threads wait instead of reading it too.
_lock = RLock()


def book_revision() -> int:
    """Return the catalog's revision, 0 before the kitchen is set up; one query."""
    return Kitchen.objects.filter(pk=1).values_list("revision", flat=True).first() or 0


def book_current() -> Book:
    """Return the Book of the current revision; one query when this process has read it before.

    Raises
    ------
    CannotPrice
        Before the kitchen is set up, or naming the first thing that is wrong with the catalog.
    """
    found = catalog_book()
    problems = _problems(found)
    if problems:
        raise CannotPrice(problem=problems[0].reason)
    return found.book


def book_as_it_stands() -> Book:
    """Return the Book of the current revision even if it has errors, or an empty one."""
    return catalog_book().book


def book_from_rows() -> Book:
    """Read the Book from its rows, ignoring the cache; it is not checked."""
    return _read()[1]


def book_problems() -> tuple[BookProblem, ...]:
    """Return all problems that stop pricing."""
    return _problems(catalog_book())


def _problems(found: CatalogBook) -> tuple[BookProblem, ...]:
    return problems_of(found.errors, found.book) if found.revision else (NO_KITCHEN,)


def catalog_book() -> CatalogBook:
    """Return the Book of the current revision with its errors; one query when this process has read it before."""
    revision = book_revision()
    cached = _cache.get(revision)
    if cached is not None:
        return cached
    with _lock:
        cached = _cache.get(revision)
        if cached is not None:
            return cached
        revision, book = _read()
        found = CatalogBook(revision, book, _errors(book))
        # Rows of an open transaction may be rolled back: cache the Book only after the commit.
        transaction.on_commit(lambda: _store(found))
        return found


def forget() -> None:
    """Clear this process's cache; needed only when the database is replaced under a running process."""
    _cache.clear()


def _store(found: CatalogBook) -> None:
    with _lock:
        _cache.clear()
        if found.revision:
            _cache[found.revision] = found


def _read() -> tuple[int, Book]:
    """Read the rows with their revision; read them again if somebody changed the catalog meanwhile.

    Raises
    ------
    CannotPrice
        The catalog is changed again and again.
    """
    for _ in range(_TRIES):
        revision, book = book_revision(), _BLANK
        for section in all_sections():
            book = section.read(book)
        if book_revision() == revision:
            return revision, book
    raise CannotPrice(problem=Reason("being_changed"))


def _errors(book: Book) -> tuple[CostingError, ...]:
    try:
        check_book(book)
    except InputErrors as found:
        return found.errors
    return ()
