"""Exports in the shape that an import reads: heads, and cells that no spreadsheet takes for a formula."""

import csv
import io
from collections.abc import Sequence
from datetime import datetime
from tempfile import TemporaryFile
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.styles import Font

from catalog.records.csv_cells import CSV_MARK
from catalog.records.xlsx_cells import same_bytes, xlsx_cell
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
    """Return all records of a kind as a CSV file: UTF-8 with a byte order mark, lines ended as RFC 4180 has it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([marked(_text(cell)) for cell in row] for row in _rows(holds))
    return CSV_MARK + out.getvalue().encode()


def export_xlsx(holds: str, *, at: datetime) -> bytes:
    """Return all records of a kind as an XLSX workbook with one sheet; every cell is text."""
    book = Workbook(write_only=True)
    book.properties.creator, book.properties.title = "Coldset", holds
    book.properties.created = at.replace(tzinfo=None)
    sheet = book.create_sheet(holds)
    sheet.freeze_panes = "A2"
    bold = Font(bold=True)
    for number, row in enumerate(_rows(holds)):
        sheet.append([_cell(sheet, marked(_text(cell)), bold if number == 0 else None) for cell in row])
    out = io.BytesIO()
    with TemporaryFile() as written:
        book.save(written)
        same_bytes(written, out, at)
    return out.getvalue()


def _cell(sheet: Any, text: str, font: Font | None) -> Any:
    return xlsx_cell(sheet, text, font) if text else None


def _rows(holds: str) -> list[Sequence[Cell]]:
    keys = EXPORTED[holds]
    records = kind_of(holds).export()
    return [[HEADS[key] for key in keys], *([record.get(key) for key in keys] for record in records)]


def _text(cell: Cell) -> str:
    return "" if cell is None else str(cell)
