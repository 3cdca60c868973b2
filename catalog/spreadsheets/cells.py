"""Cells of an export: as a spreadsheet shows them, safe against formulas, and read as the same again."""

from decimal import Decimal

from catalog.records.csv_cells import STARTS_FORMULA
from costing.measures.figures import NumberFormat


def number_cell(number: Decimal | None, *, comma: bool) -> str | None:
    """Return a number as the kitchen writes it, without zeros at its end; None stays None."""
    if number is None:
        return None
    text = format(number, "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace(".", ",") if comma else text


def measure_cell(exact: str, *, comma: bool) -> str:
    """Return a measure as the kitchen writes it."""
    return NumberFormat("," if comma else ".", "").written(exact.replace("_", " "))


def one_line(text: str) -> str:
    """Return a text on one line."""
    return " ".join(text.split())


def marked(text: str) -> str:
    """Put an apostrophe before a text that would start a formula, or that has such an apostrophe itself."""
    return f"'{text}" if STARTS_FORMULA.match(text.lstrip("'")) else text


def unmarked(text: str) -> str:
    """Take off the apostrophe that :func:`marked` put."""
    return text[1:] if text.startswith("'") and STARTS_FORMULA.match(text.lstrip("'")) else text
