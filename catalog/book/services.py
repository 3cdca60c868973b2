"""Export a whole kitchen as a file, and import a Book in its place."""

import json
import os
import tempfile
from pathlib import Path

from django.db import transaction

from catalog.book.checks import check_document
from catalog.book.revision import catalog_changed
from catalog.book.sections import all_sections, no_keys
from catalog.book.selectors import book_from_rows
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.records.errors import CatalogNotEmpty
from costing.contract import Book, InputErrors, check_book, read_json, write_whole_book
from costing.contract.problems import costing_error
from costing.contract.whole_reader import whole_book_of


def book_text() -> str:
    """Return the whole kitchen as a Book's text; the same rows always give the same text."""
    return json.dumps(write_whole_book(book_from_rows()), indent=1, ensure_ascii=False) + "\n"


def book_export(*, path: Path) -> None:
    """Write the whole kitchen to a file atomically, through a temporary file beside it.

    Raises OSError when the file cannot be written.
    """
    text = book_text()
    descriptor, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(descriptor, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _mode(path))
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _mode(path: Path) -> int:
    """Return the mode of the file that is replaced; for a new file, the process's default mode."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


@transaction.atomic(durable=True)
def book_import(*, data: bytes) -> dict[str, int]:
    """Replace the catalog by a Book, completely or not at all; return the number of records of each kind.

    Records the Book lacks are deleted, unless quotes or orders need them: then they stay, marked as no longer used. The
    kitchen's profile, hours and closed days stay when the Book does not contain them.

    Raises
    ------
    InputErrors
        The Book has errors, or records that must stay would conflict with it.
    """
    return _taken_over(data)


@transaction.atomic(durable=True)
def book_bring(*, data: bytes) -> dict[str, int]:
    """Fill an empty catalog from a Book, as :func:`book_import` does; return the same.

    Raises
    ------
    CatalogNotEmpty
        An ingredient, a recipe or a product is there, which a Book would replace.
    InputErrors
        The Book has errors.
    """
    if any(model.objects.exists() for model in (Ingredient, Recipe, Product)):
        raise CatalogNotEmpty
    return _taken_over(data)


def _taken_over(data: bytes) -> dict[str, int]:
    document = read_json(data, "book")
    check_document(document)
    book = whole_book_of(document)
    _write(book)
    catalog_changed()
    _check_remaining(book)
    return {kind: len(getattr(book, kind)) for kind in ("ingredients", "recipes", "products", "price_rules")}


def _write(book: Book) -> None:
    sections, keys = all_sections(), no_keys()
    for section in sections:
        section.write(book, keys)
    for section in reversed(sections):
        section.clear(keys)
    for section in sections:
        section.write_details(book, keys)


def _check_remaining(book: Book) -> None:
    """Check the new catalog together with old records that quotes still need; refuse the import if they conflict."""
    remaining = book_from_rows()
    if all(
        len(getattr(remaining, kind)) == len(getattr(book, kind)) for kind in ("ingredients", "recipes", "products")
    ):
        return
    try:
        check_book(remaining)
    except InputErrors as found:
        beside = (costing_error("book", e.code, (), "kept_beside", problem=e.message) for e in found.errors)
        raise InputErrors(beside) from found
