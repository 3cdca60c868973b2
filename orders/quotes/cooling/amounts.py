"""The batches of a table of products that are made hot, at its size, and how often each is measured."""

from catalog.cooling.amounts import Units, batch_amounts
from catalog.cooling.batch_reports import BatchCold, batch_colds
from costing.contract import Book
from costing.requirements.compiled_book import compile_book


def hot_batches(units: Units, book: Book) -> tuple[BatchCold, ...]:
    """Return the batches that a table takes hot, at its size; no query."""
    return tuple(batch_colds(batch_amounts(units, book), book))


def loads_of(units: Units, book: Book) -> dict[str, int]:
    """Return in how many loads each product of a table is made, by code: each cools, and is measured, for itself."""
    compiled = compile_book(book)
    known = (code for code in units if code in compiled.product_at)
    return {code: compiled.line_demand(compiled.product_at[code], units[code]).loads for code in known}


def parts_of(one: BatchCold) -> int:
    """Return in how many vessels an amount cools at once, over all its batches: each is measured for itself."""
    fills = (each.cycle.plan.fill for each in one.times)
    return one.batches.count * max((fill.count for fill in fills if fill is not None), default=1)
