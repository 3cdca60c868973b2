"""How much of each recipe a table of products takes, and the batches of it that are made hot."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from catalog.cooling.batch_reports import BatchCold, batch_colds
from costing.contract import Book
from costing.requirements.compiled_book import compile_book
from costing.requirements.workings import ExactWorkings

#: Code of a product -> units of it.
Units = Mapping[str, int]


def hot_batches(units: Units, book: Book) -> tuple[BatchCold, ...]:
    """Return the batches that a table takes hot, at its size; no query."""
    return tuple(batch_colds(batch_amounts(units, book), book))


def batch_amounts(units: Units, book: Book) -> list[tuple[str, Fraction]]:
    """Return the recipes that a table takes, with their grams [g], users first."""
    compiled = compile_book(book)
    places = {code: compiled.product_at[code] for code in units if code in compiled.product_at}
    lines = tuple(compiled.line_demand(place, units[code]) for code, place in sorted(places.items()))
    demand = ExactWorkings(compiled, compiled.exact, lines, date.min).demand[0]
    return [(compiled.recipes[row].code, batch.grams) for row, batch in sorted(demand.items())]


def loads_of(units: Units, book: Book) -> dict[str, int]:
    """Return in how many loads each product of a table is made, by code: each cools, and is measured, for itself."""
    compiled = compile_book(book)
    known = (code for code in units if code in compiled.product_at)
    return {code: compiled.line_demand(compiled.product_at[code], units[code]).loads for code in known}


def parts_of(one: BatchCold) -> int:
    """Return in how many vessels an amount cools at once, over all its batches: each is measured for itself."""
    fills = (each.cycle.plan.fill for each in one.times)
    return one.batches.count * max((fill.count for fill in fills if fill is not None), default=1)
