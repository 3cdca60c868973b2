"""All that a customer reads of a quote and that speaks of what its desserts hold, and may claim that they do not."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from catalog.kitchen.models import Kitchen
from catalog.pantry.declarations import Declaration
from catalog.products.declarations import declarations_of
from catalog.products.kitchen_claims import WORDS_READ
from catalog.products.spoken import unborne
from costing.contract import Book
from orders.documents.content import QuoteContent
from orders.quotes.draft.allergens import NO_FOOD, of_extra
from orders.quotes.draft.claims import texts_read
from orders.quotes.draft.dessert_table import DessertTable
from orders.quotes.models import Quote

#: Places of words that are written to this customer.
FREELY: Final = ("note", "cancellation_terms")


@dataclass(frozen=True, slots=True)
class SpokenOf:
    """A sentence that the customer reads, where it stands, what it speaks of, and the desserts that do not bear it out.

    ``place`` is a product's name, or the place of other words: ``note``, ``extras``, a column of the profile.
    """

    place: str
    text: str
    codes: tuple[str, ...]
    dishes: tuple[str, ...]


def spoken_of(
    quote: Quote, table: DessertTable, book: Book, kitchen: Kitchen, content: QuoteContent | None
) -> tuple[SpokenOf, ...]:
    """Return the sentences of a quote that speak of an allergen which something of it does not bear out.

    Words to this customer count as soon as they name it; standing words where they turn it around, or speak of people.
    """
    return tuple(dict.fromkeys(_spoken_of(quote, table, book, kitchen, content)))


def _spoken_of(
    quote: Quote, table: DessertTable, book: Book, kitchen: Kitchen, content: QuoteContent | None
) -> Iterator[SpokenOf]:
    declarations = declarations_of(book)
    which = declarations.which
    for line in table.lines:
        product, own = book.product(line.code), [(book.product(line.code).name, declarations.of(line.code))]
        for text in (product.name, product.description, product.holding):
            yield from (SpokenOf(product.name, one.text, one.codes, one.dishes) for one in unborne(text, own, which))
    every = table_declared(table, book)
    standing = [(place, getattr(kitchen, place)) for place in WORDS_READ]
    for place, text in (*texts_read(quote, content), *standing):
        free = place in FREELY
        found = unborne(text, every, which, written_freely=free)
        yield from (SpokenOf(place, one.text, one.codes, one.dishes) for one in found)


def table_declared(table: DessertTable, book: Book) -> Sequence[tuple[str, Declaration]]:
    """Return what the desserts of a table and its extras that are food declare, each by name."""
    declarations = declarations_of(book)
    extras = [(one.name, of_extra(one, declarations.which)) for one in table.extras if one.food != NO_FOOD]
    return [*((book.product(line.code).name, declarations.of(line.code)) for line in table.lines), *extras]
