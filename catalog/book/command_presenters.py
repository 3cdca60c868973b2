"""The Book for commands, which print errors in the form of `costing`, by their place in the Book."""

from django.db import DatabaseError
from django.utils.translation import gettext

from catalog.book.selectors import catalog_book
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from costing.contract import Book, CostingError, InputErrors


def book_checked() -> Book:
    """Return the Book of the current revision, for a program that reports errors by their place in the Book.

    Raises
    ------
    InputErrors
        Everything that is wrong with the catalog, or one `schema` error that says what to do before the kitchen is
        set up, while it is being changed, or when the database cannot answer.
    """
    try:
        found = catalog_book()
        if found.errors and found.revision:
            raise InputErrors(found.errors)
        if found.revision:
            return found.book
        sentence_shown = gettext(
            "The kitchen is not set up yet. Fill in its profile, import a Book, or name a Book with --book."
        )
    except CannotPrice as busy:
        sentence_shown = sentence(busy)
    except DatabaseError as problem:
        sentence_shown = database_sentence(problem)
    raise InputErrors([CostingError("schema", "book#", sentence_shown)])


def database_sentence(problem: DatabaseError) -> str:
    """Say what to do about a database that cannot answer, such as one without tables or without a file."""
    sentence_shown = gettext(
        "The kitchen's database cannot be read: %(problem)s. Run “manage.py migrate” first, or check its address."
    )
    return sentence_shown % {"problem": problem}
