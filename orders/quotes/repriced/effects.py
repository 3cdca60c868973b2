"""What one change of a price does to the open quotes: their margins before and after it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from catalog.book.selectors import book_current
from catalog.pantry.price_changes import PriceChange
from costing.contract import Book
from costing.requirements.compiled_book import compile_book
from orders.quotes.repriced.selectors import Repriced, open_quotes_repriced

#: Margins that differ by less look the same: they are shown to a tenth of a percent.
_SEEN = Fraction(1, 2000)


@dataclass(frozen=True, slots=True)
class Effect:
    """An open quote whose margin changed, before and after."""

    before: Repriced
    after: Repriced

    @property
    def fell_below(self) -> bool:
        """Whether the change took it below the floor."""
        return self.after.below_floor and not self.before.below_floor


@dataclass(frozen=True, slots=True)
class Effects:
    """The quotes a change of price affects, those that fell below the floor first.

    ``open`` counts the open quotes, and ``day`` is the first on which the price counts.
    """

    changed: tuple[Effect, ...]
    open: int
    day: date


def effects_of(change: PriceChange, *, day: date) -> Effects:
    """Compute every open quote with the packs before a change and after it, on the first day that it counts.

    Raises
    ------
    CannotPrice
        When the catalog cannot be priced at all.
    """
    book = book_current()
    counts = max(day, change.starts)
    earlier = _with_packs_before(book, change)
    before = {row.quote.pk: row for row in open_quotes_repriced(day=counts, book=earlier)}
    after = open_quotes_repriced(day=counts, book=book)
    changed = tuple(_changed(before, after))
    return Effects(tuple(sorted(changed, key=lambda one: not one.fell_below)), len(after), counts)


def _with_packs_before(book: Book, change: PriceChange) -> Book:
    ingredients = tuple(
        replace(one, packs=change.packs) if one.code == change.ingredient else one for one in book.ingredients
    )
    earlier = replace(book, ingredients=ingredients)
    compile_book(earlier, book)
    return earlier


def _changed(before: dict[int, Repriced], after: list[Repriced]) -> Iterator[Effect]:
    for row in after:
        earlier = before.get(row.quote.pk)
        if earlier is None:
            continue
        old, new = earlier.margin_now, row.margin_now
        if earlier.below_floor != row.below_floor or _differ(old, new):
            yield Effect(earlier, row)


def _differ(old: Fraction | None, new: Fraction | None) -> bool:
    return old != new if old is None or new is None else abs(old - new) >= _SEEN
