"""Which sent quotes cannot be approved, because what they offer breaks the cooling rule by now."""

from collections.abc import Mapping, Sequence

from catalog.book.selectors import books_unpriced
from catalog.cooling.amounts import Units
from costing.contract import Book
from orders.quotes.cooling.selectors import Judgement, judge, overrides_of
from orders.quotes.cooling.shared import shared_open
from orders.quotes.models import Quote


def cannot_be_approved(quotes: Sequence[Quote]) -> frozenset[int]:
    """Return the keys of sent quotes with what breaks the rule by now without an override, or may never get cold.

    So are those of which a batch breaks it only with promised orders, where nothing says what is measured of it.

    What the catalog cannot judge, not even without its prices, is left out. Their lines come with their products. One
    query, and those of the Book and of new verdicts.
    """
    tables = {quote.pk: {line.product.code: line.units for line in quote.lines.all()} for quote in quotes}
    books = books_unpriced(tables)
    judged: dict[int, Judgement] = {}
    for book in {id(book): book for book in books.values() if book is not None}.values():
        judged |= judge({pk: units for pk, units in tables.items() if books[pk] is book}, book)
    never = {pk for pk, found in judged.items() if any(one.never for one in found.broken)}
    broken_by = {pk: found.broken for pk, found in judged.items() if pk not in never}
    overrides = overrides_of(broken_by) if any(broken_by.values()) else {}
    marks = {(pk, item): row.mark for pk, rows in overrides.items() for item, row in rows.items()}
    stopped = frozenset(
        never | {pk for pk, every in broken_by.items() if any(marks.get((pk, one.item)) != one.mark for one in every)}
    )
    return stopped | {quote.pk for quote in quotes if quote.pk not in stopped and _is_open(quote, tables, books)}


def _is_open(quote: Quote, tables: Mapping[int, Units], books: Mapping[int, Book | None]) -> bool:
    """Return whether it breaks the rule only together with promised orders, without what is measured."""
    book = books[quote.pk]
    return book is not None and bool(shared_open(quote, tables[quote.pk], book))
