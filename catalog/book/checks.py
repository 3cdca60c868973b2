"""Checks of a Book before the catalog imports it: the contract, the optional keys, and what columns can store."""

from typing import Any

from catalog.book.sections import all_sections
from costing.contract import InputErrors, book_errors
from costing.contract.errors import Path
from costing.contract.problems import Problems
from costing.contract.whole_checks import check_optional_keys


def check_document(document: Any) -> None:
    """Check a whole Book, the optional keys included.

    Raises
    ------
    InputErrors
        Everything found wrong: what breaks the contract, then the rest in document order.
    """
    errors = book_errors(document)
    if not any(error.code == "schema" for error in errors):
        found = Problems("book", document)
        _check_texts(found, document, ())
        check_optional_keys(found)
        for section in all_sections():
            section.check(found)
        errors += found.in_order()
    if errors:
        raise InputErrors(errors)


def _check_texts(found: Problems, value: Any, path: Path) -> None:
    """Refuse NUL characters and lone surrogates, which no database can store."""
    if isinstance(value, str):
        if "\0" in value or any("\ud800" <= character <= "\udfff" for character in value):
            found.report("schema", path, "unstorable")
    elif isinstance(value, dict):
        for key, item in value.items():
            _check_texts(found, key, (*path, key))
            _check_texts(found, item, (*path, key))
    elif isinstance(value, list):
        for i, item in enumerate(value):
            _check_texts(found, item, (*path, i))
