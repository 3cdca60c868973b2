"""How much of each recipe a table of products takes."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from costing.contract import Book
from costing.requirements.compiled_book import compile_book
from costing.requirements.workings import ExactWorkings

#: Code of a product -> units of it.
Units = Mapping[str, int]


def batch_amounts(units: Units, book: Book) -> list[tuple[str, Fraction]]:
    """Return the recipes that a table takes, with their grams [g], users first."""
    compiled = compile_book(book)
    places = {code: compiled.product_at[code] for code in units if code in compiled.product_at}
    lines = tuple(compiled.line_demand(place, units[code]) for code, place in sorted(places.items()))
    demand = ExactWorkings(compiled, compiled.exact, lines, date.min).demand[0]
    return [(compiled.recipes[row].code, batch.grams) for row, batch in sorted(demand.items())]
