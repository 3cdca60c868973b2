"""The Book: the catalog's rows as one document, read once per revision."""

from threading import Lock
from typing import Any, Final

from django.db import DatabaseError, transaction

from catalog.book import extras as book_extras
from catalog.book import rows as book_rows
from catalog.book.problems import Problem, problems_of
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.rates.overhead import monthly_totals
from catalog.records.errors import CannotPrice
from costing.contract import Book, CostingError, InputErrors, read_book

FORMAT: Final = "coldset-book/1"
_TRIES: Final = 5

#: The last revision read in this process with its Book, or with what is wrong with it.
_kept: dict[int, Book | tuple[Problem, ...]] = {}
_lock = Lock()


def book_json(*, whole: bool = False) -> dict[str, Any]:
    """Return the Book's JSON document; ``whole`` adds all that a kitchen's export needs to lose nothing.

    The revision is compared before and after: rows read while somebody changed the catalog are read again.
    """
    return _read(whole=whole)[1]


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
    found = _current()
    if isinstance(found, Book):
        return found
    raise CannotPrice(problem=found[0].message)


def book_checked() -> Book:
    """Return the Book of the current revision for a program that tells errors by their place in the Book.

    Raises
    ------
    InputErrors
        Everything that is wrong with the catalog, or one `schema` error that says what to do before the kitchen is
        set up, while it is being changed, or when the database cannot answer.
    """
    try:
        found = _current()
        if isinstance(found, Book):
            return found
        if book_revision():
            return read_book(book_json())
        told = "The kitchen is not set up yet. Fill in its profile, import a Book, or name a Book with --book."
    except CannotPrice as busy:
        told = str(busy)
    except DatabaseError as problem:
        told = database_sentence(problem)
    raise InputErrors([CostingError("schema", "book#", told)])


def database_sentence(problem: DatabaseError) -> str:
    """Say what to do about a database that cannot answer, such as one without tables or without a file."""
    return f"The kitchen's database cannot be read: {problem}. Run “manage.py migrate” first, or check its address."


def book_problems() -> list[Problem]:
    """Return everything that stops pricing: code, sentence, address of the screen where it is put right."""
    found = _current()
    return [] if isinstance(found, Book) else list(found)


def forget() -> None:
    """Drop what this process keeps; needed only where a database is exchanged under a running process."""
    _kept.clear()


def _current() -> Book | tuple[Problem, ...]:
    revision = book_revision()
    kept = _kept.get(revision)
    if kept is not None:
        return kept
    if not revision:
        return (Problem("no_kitchen", "The kitchen is not set up yet. Fill in its profile first.", "/kitchen/"),)
    revision, document = _read(whole=False)
    found: Book | tuple[Problem, ...]
    try:
        found = read_book(document)
    except InputErrors as errors:
        found = problems_of(errors.errors, document)
    # Rows of an open transaction may yet be rolled back: the Book is kept only once they are committed.
    transaction.on_commit(lambda: _keep(revision, found))
    return found


def _keep(revision: int, found: Book | tuple[Problem, ...]) -> None:
    with _lock:
        _kept.clear()
        _kept[revision] = found


def _read(*, whole: bool) -> tuple[int, dict[str, Any]]:
    for _ in range(_TRIES):
        row = kitchen()
        document = _document(row, whole=whole)
        if book_revision() == (0 if row._state.adding else row.revision):
            return row.revision, document
    raise CannotPrice(problem="it is being changed at this moment. Try again.")


def _document(row: Kitchen, *, whole: bool) -> dict[str, Any]:
    sums = monthly_totals()
    taxes, about = book_rows.taxes()
    stations = book_rows.stations(sums, whole=whole)
    kinds = {code: station["kind"] for code, station in stations.items()}
    document: dict[str, Any] = {
        "format": FORMAT,
        "currency": row.currency,
        "kitchen": book_rows.kitchen(row),
        "overhead": book_rows.overhead(row, sums, whole=whole),
        "roles": book_rows.roles(whole=whole),
        "stations": stations,
        "taxes": taxes,
        "delivery": book_rows.delivery(row),
        "ingredients": book_rows.ingredients(whole=whole),
        "recipes": book_rows.recipes(whole=whole),
        "products": book_rows.products(kinds, whole=whole),
        "price_rules": book_rows.price_rules(whole=whole),
    }
    if whole:
        profile = book_extras.profile(row)
        document["kitchen"] |= {"profile": profile} if profile else {}
        document |= {"tax_categories": about} | book_extras.extras()
    optional = ("overhead", "delivery", "tax_categories")
    return {key: value for key, value in document.items() if value or key not in optional}
