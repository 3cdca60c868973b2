"""Exports in the shape that an import reads: heads, and cells that no spreadsheet takes for a formula."""

import io
from collections.abc import Sequence
from typing import Final

from catalog.kitchen.selectors import kitchen
from catalog.records.csv_cells import CSV_MARK, csv_writer
from catalog.spreadsheets.cells import marked
from catalog.spreadsheets.kinds import kind_of
from catalog.spreadsheets.plan import Cell

#: Key of a column -> its head in an export. A head is a part of the file's format: it is not translated.
HEADS: Final = {
    "recipe": "Recipe",
    "amount": "Amount",
    "ingredient": "Ingredient",
    "loss": "Loss %",
    "batch_limit": "Maximum batch",
    "batch_min": "Minimum batch",
    "recipe_note": "Recipe note",
    "steps": "Steps",
    "code": "Code",
    "counted": "Counted only",
    "density": "Density g/ml",
    "grams_each": "Piece weight g",
    "yield_share": "Yield %",
    "share": "Part of the piece %",
    "joint": "Parts of one piece",
    "note": "Note",
    "pack": "Pack",
    "price": "Price",
    "supplier": "Supplier",
    "product": "Product",
    "category": "Category",
    "servings": "Servings",
    "sale_multiple": "Sold in multiples of",
    "list_price": "List price",
    "tax": "Tax category",
    "description": "Description",
    "goes_in": "Recipe or packaging",
    "name": "Name",
    "email": "E-mail",
    "phone": "Phone",
    "address": "Address",
    "country": "Country",
    "kind": "Type",
    "tax_exempt": "Tax exempt",
    "tax_number": "Tax number",
}
#: Kind -> the columns of its export, in order.
EXPORTED: Final = {
    "recipes": (
        "recipe", "amount", "ingredient", "loss", "batch_limit", "batch_min", "recipe_note", "steps",
    ),
    "ingredients": (
        "code", "ingredient", "pack", "price", "supplier", "counted", "density", "grams_each", "yield_share", "share",
        "joint", "note",
    ),
    "products": (
        "product", "category", "servings", "sale_multiple", "list_price", "tax", "description", "goes_in", "amount",
    ),
    "customers": ("name", "email", "phone", "address", "country", "kind", "tax_exempt", "tax_number", "note"),
}  # fmt: skip


def export_csv(holds: str) -> bytes:
    """Return all records of a kind as a CSV file, as the kitchen's country has it."""
    out = io.StringIO(newline="")
    csv_writer(out, kitchen().locale).writerows(rows_exported(holds))
    return CSV_MARK + out.getvalue().encode()


def rows_exported(holds: str) -> list[list[str]]:
    """Return the head and all records of a kind as texts that no spreadsheet takes for a formula."""
    keys = EXPORTED[holds]
    records = kind_of(holds).export()
    rows: list[Sequence[Cell]] = [[HEADS[key] for key in keys], *([row.get(key) for key in keys] for row in records)]
    return [[marked(_text(cell)) for cell in row] for row in rows]


def _text(cell: Cell) -> str:
    return "" if cell is None else str(cell)
