"""A whole kitchen out of the service as a Book, and a Book into it."""

import json
import os
import tempfile
from pathlib import Path
from typing import Any

from django.db import transaction

from catalog.selectors.books import book_json
from catalog.services import books_clear, books_goods, books_write
from catalog.services.books_check import check_document
from catalog.services.revision import catalogue_changed
from costing.checks import book_errors
from costing.documents import read_json
from costing.errors import CostingError, InputErrors


def book_text() -> str:
    """Write the whole kitchen as a Book: the same rows always give the same text."""
    return json.dumps(book_json(whole=True), indent=1, ensure_ascii=False) + "\n"


def book_export(*, path: Path) -> None:
    """Write the whole kitchen to a file, through a temporary file beside it: never half a Book.

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
    """Keep the mode of a file that is replaced; a new one gets what the process gives new files."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


@transaction.atomic(durable=True)
def book_import(*, data: bytes) -> dict[str, int]:
    """Replace the catalogue by a Book, all of it or nothing; return how many there are of each kind.

    What the Book lacks goes, unless quotes or orders need it: then it stays, marked as no longer used. The kitchen's
    profile, hours and closed days stay when the Book does not carry them.

    Raises
    ------
    InputErrors
        The Book has errors, or what has to be kept beside it would no longer fit.
    """
    document: dict[str, Any] = read_json(data, "book")
    check_document(document)
    _write(document)
    catalogue_changed()
    _check_what_was_kept(document)
    kinds = ("ingredients", "recipes", "products", "price_rules")
    return {kind: len(document.get(kind, ())) for kind in kinds}


def _write(document: dict[str, Any]) -> None:
    roles, stations, taxes = books_write.write_charges(document)
    suppliers, moulds = books_write.write_suppliers(document), books_write.write_moulds(document)
    ingredients = books_goods.write_ingredients(document)
    recipes = books_goods.write_recipes(document)
    products = books_goods.write_products(document, taxes, moulds)
    books_goods.write_price_rules(document, products)
    books_clear.clear_children(ingredients, recipes, products)
    books_clear.clear_goods(ingredients, recipes, products)
    parts = books_goods.write_parts(document, ingredients)
    books_goods.write_packs(document, ingredients, suppliers)
    books_goods.write_lines(document, recipes, ingredients, parts)
    books_goods.write_fills(document, products, recipes, ingredients)
    books_goods.write_steps(document, recipes, products, roles, stations)
    books_write.write_monthly_costs(document, stations)
    books_write.write_calendar(document)
    books_write.write_kitchen(document, roles, taxes)
    books_clear.clear_charges(roles, stations, taxes, suppliers, moulds)


def _check_what_was_kept(document: dict[str, Any]) -> None:
    """Old goods that quotes still name stay beside the new ones; refuse the whole when they no longer fit."""
    kept = book_json()
    if all(len(kept[kind]) == len(document.get(kind, ())) for kind in ("ingredients", "recipes", "products")):
        return
    errors = book_errors(kept)
    if errors:
        sentence = "Something that quotes or orders still name would no longer fit beside this Book: "
        raise InputErrors(CostingError(error.code, "book#", sentence + error.message) for error in errors)
