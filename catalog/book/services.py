"""A whole kitchen out of the service as a Book, and a Book into it."""

import json
import os
import tempfile
from pathlib import Path
from typing import Any

from django.db import transaction

from catalog.book.checks import check_document
from catalog.book.clearing import clear_charges, clear_children, clear_goods
from catalog.book.goods_writer import (
    write_fills,
    write_ingredients,
    write_lines,
    write_packs,
    write_parts,
    write_price_rules,
    write_products,
    write_recipes,
    write_steps,
)
from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_json
from catalog.book.writer import (
    write_calendar,
    write_charges,
    write_kitchen,
    write_molds,
    write_monthly_costs,
    write_suppliers,
)
from costing.contract import CostingError, InputErrors, book_errors, read_json


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
    """Replace the catalog by a Book, all of it or nothing; return how many there are of each kind.

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
    catalog_changed()
    _check_what_was_kept(document)
    kinds = ("ingredients", "recipes", "products", "price_rules")
    return {kind: len(document.get(kind, ())) for kind in kinds}


def _write(document: dict[str, Any]) -> None:
    roles, stations, taxes = write_charges(document)
    suppliers, molds = write_suppliers(document), write_molds(document)
    ingredients = write_ingredients(document)
    recipes = write_recipes(document)
    products = write_products(document, taxes, molds)
    write_price_rules(document, products)
    clear_children(ingredients, recipes, products)
    clear_goods(ingredients, recipes, products)
    parts = write_parts(document, ingredients)
    write_packs(document, ingredients, suppliers)
    write_lines(document, recipes, ingredients, parts)
    write_fills(document, products, recipes, ingredients)
    write_steps(document, recipes, products, roles, stations)
    write_monthly_costs(document, stations)
    write_calendar(document)
    write_kitchen(document, roles, taxes)
    clear_charges(roles, stations, taxes, suppliers, molds)


def _check_what_was_kept(document: dict[str, Any]) -> None:
    """Old goods that quotes still name stay beside the new ones; refuse the whole when they no longer fit."""
    kept = book_json()
    if all(len(kept[kind]) == len(document.get(kind, ())) for kind in ("ingredients", "recipes", "products")):
        return
    errors = book_errors(kept)
    if errors:
        sentence = "Something that quotes or orders still name would no longer fit beside this Book: "
        raise InputErrors(CostingError(error.code, "book#", sentence + error.message) for error in errors)
