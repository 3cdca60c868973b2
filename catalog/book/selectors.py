"""The Book of the current revision, read from rows once per revision and process, and its problems by record."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from threading import RLock
from typing import Any, Final, TypeVar

from django.db import transaction

from catalog.book.known import KnownByBook
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import all_sections
from catalog.book.unpriced import judged_by, unpriced_part
from catalog.kitchen.models import Kitchen
from catalog.records.errors import CannotPrice
from catalog.records.reasons import Reason
from costing.contract import Book, CostingError, InputErrors, check_book
from costing.contract import book as values
from costing.requirements.compiled_book import compile_book

#: Lists of a Book whose records are identified by a name; the others by their code.
_NAMED: Final = ("ingredients", "recipes", "products")
_LISTED: Final = (*_NAMED, "price_rules")
_CODED: Final = ("roles", "stations", "taxes")
#: Parts of a Book that are a single record; the currency belongs to the kitchen.
_SINGLE: Final = {"kitchen": "kitchen", "currency": "kitchen", "overhead": "overhead", "delivery": "delivery"}
#: Lists inside a record whose rows are named by their number.
_ROWS: Final = ("lines", "packs", "parts", "fill", "packaging", "labour", "station_time")

Key = TypeVar("Key")
_TRIES: Final = 5
#: A Book being read; each section adds its values.
_BLANK: Final = Book("", values.Kitchen(values.ZERO))


@dataclass(frozen=True, slots=True)
class BookProblem:
    """One problem that stops pricing: a reason, and the record of the Book where it can be fixed.

    ``kind`` is a list of the Book, or ``kitchen``, ``overhead`` or ``delivery``; ``thing`` is the record's code in that
    list; ``error`` is the computation's own, from which its sentence is written in another language.
    """

    code: str
    reason: Reason
    kind: str = ""
    thing: str = ""
    error: CostingError | None = None


#: Problems that stop every price before the kitchen is set up.
NO_KITCHEN: Final = BookProblem("no_kitchen", Reason("no_kitchen"), "kitchen")


def problems_of(errors: Iterable[CostingError], book: Book) -> tuple[BookProblem, ...]:
    """Return a problem for each error of a Book, with the record it is about."""
    return tuple(_problem(error, book) for error in errors)


def _problem(error: CostingError, book: Book) -> BookProblem:
    keys = _keys(error.at)
    kind = _SINGLE.get(keys[0], keys[0]) if keys else ""
    thing = _thing(book, kind, keys[1]) if len(keys) > 1 else None
    where = Reason(f"at_{kind}" if kind and (thing or kind in _SINGLE) else "at_catalog", {"name": _name(thing, kind)})
    if thing and len(keys) > 3 and keys[2] in _ROWS and keys[3].isdigit():
        where = Reason(f"at_{keys[2]}", {"owner": where, "number": int(keys[3]) + 1})
    reason = Reason("book_problem", {"where": where, "message": error.message})
    return BookProblem(error.code, reason, kind, "" if thing is None else thing.code, error)


def _keys(at: str) -> list[str]:
    return [key.replace("~1", "/").replace("~0", "~") for key in at.partition("#")[2].split("/")[1:]]


def _thing(book: Book, kind: str, key: str) -> Any:
    """Return the record of a list that a key of a place refers to: by its position, or by its code."""
    if kind in _LISTED and key.isdigit():
        return getattr(book, kind)[int(key)]
    if kind in _CODED:
        return next((record for record in getattr(book, kind) if record.code == key), None)
    return None


def _name(thing: Any, kind: str) -> str:
    if thing is None:
        return ""
    return str(thing.name or thing.code) if kind in _NAMED else str(thing.code)


@dataclass(frozen=True, slots=True)
class CatalogBook:
    """The Book of one revision, with its problems."""

    revision: int
    book: Book
    errors: tuple[CostingError, ...]


#: The last revision read in this process.
_cache: dict[int, CatalogBook] = {}
#: The records of the Book that was read last; used by whoever holds the lock.
_records = RecordCache()
#: The Book that was last found sound, so that only what changed since is checked; used by whoever holds the lock.
_sound: list[Book | None] = [None]
#: Parts of a Book that has errors, by the codes of their products.
_parts: KnownByBook[frozenset[str], tuple[Book, BookProblem | None]] = KnownByBook(most=200)
#: Held while the Book is read, so that other threads wait instead of reading it too.
_lock = RLock()


def book_revision() -> int:
    """Return the catalog's revision, 0 before the kitchen is set up; one query."""
    return next((int(revision) for (revision,) in Rows(Kitchen, "revision")), 0)


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


def book_unpriced(codes: Iterable[str]) -> Book:
    """Return today's Book; where it has errors, the part of it that says what these products consist of and how made.

    Cooling and allergens are judged by it while something else is wrong, such as a price. Each part is made once for a
    Book, so that what was worked out from it is known the next time.

    Raises
    ------
    CannotPrice
        When one of the products is not in it, or something that they consist of is wrong itself.
    """
    found = catalog_book()
    if found.revision and not found.errors:
        return found.book
    known, wanted = _parts.of(found.book), frozenset(codes)
    made = known.get(wanted)
    if made is None:
        made = known[wanted] = _unpriced(found, wanted)
    part, problem = made
    if problem is not None:
        raise CannotPrice(problem=problem.reason)
    return part


def books_unpriced(tables: Mapping[Key, Collection[str]]) -> dict[Key, Book | None]:
    """Return for each of some tables, by the codes of its products, the Book it is judged by; None where none can be.

    It is one Book for all of them, by one query, unless something that one of them consists of is wrong itself.
    """
    try:
        book = book_unpriced(code for codes in tables.values() for code in codes) if tables else None
    except CannotPrice:
        return {key: _unpriced_or_none(codes) for key, codes in tables.items()}
    return dict.fromkeys(tables, book)


def _unpriced_or_none(codes: Iterable[str]) -> Book | None:
    try:
        return book_unpriced(codes)
    except CannotPrice:
        return None


def _unpriced(found: CatalogBook, wanted: frozenset[str]) -> tuple[Book, BookProblem | None]:
    """Return the part of a Book for some products, with the first thing that is wrong with it."""
    part = unpriced_part(found.book, wanted)
    problems = list(problems_of(filter(judged_by, _errors(part, None)), part))
    if not found.revision or len(part.products) < len(wanted):
        problems.append(NO_KITCHEN)
    return part, problems[0] if problems else None


def book_from_rows() -> Book:
    """Read the Book from its rows, ignoring the cache; it is not checked."""
    return _read(RecordCache())[1]


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
        revision, book = _read(_records)
        found = CatalogBook(revision, book, _errors(book, _sound[0]))
        if not found.errors:
            # What did not change since the last one is taken over now, while that is still known.
            compile_book(book, _sound[0])
            _sound[0] = book
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


def _read(cache: RecordCache) -> tuple[int, Book]:
    """Read the rows with their revision; read them again if somebody changed the catalog meanwhile.

    Raises
    ------
    CannotPrice
        The catalog is changed again and again.
    """
    for _ in range(_TRIES):
        revision, book = book_revision(), _BLANK
        for section in all_sections():
            book = section.read(book, cache)
        if book_revision() == revision:
            return revision, book
    raise CannotPrice(problem=Reason("being_changed"))


def _errors(book: Book, sound: Book | None) -> tuple[CostingError, ...]:
    try:
        check_book(book, sound)
    except InputErrors as found:
        return found.errors
    return ()
