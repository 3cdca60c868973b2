"""Sending a quote as an owner does who has seen all that the page asks her to look at."""

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from django.test import override_settings

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen
from catalog.products.declarations import declarations_of
from catalog.records.errors import CannotPrice
from orders.quotes.cooling.perishables import to_see, unstated_mark
from orders.quotes.cooling.shared import SharedBatch
from orders.quotes.draft.fine_words import fine_sentences
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.services import quote_send
from orders.quotes.send.to_read import to_read
from tests.remembered import remembered


class AllRead(Collection[str]):
    """The marks of all there could be to read, of an owner who has read it."""

    def __contains__(self, mark: object) -> bool:
        return True

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0

    def __repr__(self) -> str:
        return "all read"


@remembered
def quote_send_seen(*, quote_id: int, by: str, at: datetime, **facts: Any) -> Quote:
    """Send a draft; what guests cannot eat is settled, and what nothing, or only a source, says how to keep is seen."""
    seen = {"settled": True, "not_asked_seen": True, "unstated_seen": holding_seen(quote_id)}
    seen |= {"read": AllRead(), **facts}
    return quote_send(quote_id=quote_id, by=by, at=at, **seen)


@contextmanager
def shares_nothing() -> Iterator[None]:
    """Let nothing be asked of batches that are made with other orders: these came, or changed, after the approval."""
    with override_settings(SHARED_BATCHES="tests.sending.nothing_shared"):
        yield


def nothing_shared(*_: object) -> tuple[SharedBatch, ...]:
    """Return no batches."""
    return ()


def holding_seen(quote_id: int) -> str:
    """Return the mark of the desserts of a table that nothing says how to keep."""
    codes = list(Quote.objects.get(pk=quote_id).lines.values_list("product__code", flat=True))
    try:
        book = book_current()
    except CannotPrice:
        return ""
    declarations = declarations_of(book)
    known = [code for code in codes if any(product.code == code for product in book.products)]
    return unstated_mark(to_see(known, {code: declarations.of(code).allergens for code in known}, book))


def own_read(quote: Quote, words: str) -> list[str]:
    """Return the marks of what somebody has to read of words to a customer."""
    return [one.mark for one in fine_sentences(words, quote)]


def words_read(quote_id: int) -> list[str]:
    """Return the marks of the words of a quote that somebody has to read."""
    quote = quotes_with_rows().get(pk=quote_id)
    try:
        book = book_current()
    except CannotPrice:
        return []
    return [one.mark for one in to_read(quote, book, kitchen(), None)]
