"""Other windows that work for a draft too, of which the owner offers some with the quote.

They come from the check of the draft's window beside what is promised. Each is one that sending would accept, on a day
within its limits, for the same price, and with terms that agree with the quote's one validity: so the customer chooses
a time, and nothing else. Final count and last day of the deposit are computed for each and stored with it. Delivery
stays delivery, and pickup pickup: the other is another price, and another quote.
"""

from collections.abc import Collection, Iterator
from copy import copy
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import local_day
from costing.contract import Book, Estimate
from costing.estimating.engine import estimate
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent
from orders.documents.offered import Offered
from orders.planning.problem import leaving
from orders.planning.selectors import window_answered
from orders.quotes.day_limits import day_over
from orders.quotes.draft.dessert_table import brief_of_quote
from orders.quotes.draft.windows import window_of
from orders.quotes.models import Quote
from orders.quotes.send.content import content_of
from orders.quotes.send.statement_content import statement_of
from orders.quotes.terms.dates import Stated, TermsDates
from orders.quotes.terms.selectors import dates_of
from orders.records.slot_errors import TooManyOffered, WindowsChanged

#: So many windows are shown to choose from, and so many may be offered; our own choice, no source.
SHOWN: Final = 8
MOST: Final = 5

Window = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Offer:
    """A window that may be offered; ``mark`` stands for it in the form."""

    mark: str
    offered: Offered


def offers_of(
    quote: Quote, content: QuoteContent, priced: Estimate, book: Book, kitchen: Kitchen, dates: TermsDates, at: datetime
) -> tuple[Offer, ...]:
    """Return the windows that may be offered with a draft as it would be sent, in the order of time.

    None before its own window was checked beside what is promised. ``content`` and ``dates`` are the draft's own.
    """
    found = window_answered(quote, at)
    if found is None:
        return ()
    inquiry, zone = quote.inquiry, _zone(kitchen)
    way = inquiry.window_start - leaving(inquiry.window_start, inquiry)[0]
    lasts = inquiry.window_end - inquiry.window_start
    draft = _Draft(quote, content, priced, book, kitchen, dates, at)
    works: list[Offer] = []
    for leaves, _ in found.near:
        begin = (leaves + way).astimezone(zone)
        offer = draft.at((begin, begin + lasts))
        if offer is not None:
            works.append(Offer(mark_of(begin), offer))
        if len(works) == SHOWN:
            break
    return tuple(sorted(works, key=lambda one: one.offered.window_start.timestamp()))


def mark_of(begin: datetime) -> str:
    """Return the mark of a window that begins at a moment: the minutes since 1970."""
    return str(int(begin.timestamp()) // 60)


def with_offered(content: QuoteContent, offers: Collection[Offer], marks: Collection[str]) -> QuoteContent:
    """Return a content that offers the windows of some marks; as it is where there are none.

    Raises
    ------
    WindowsChanged
        If one of them is not among the ``offers`` any more.
    TooManyOffered
        If they are more than may be offered.
    """
    if not marks:
        return content
    known = {one.mark: one.offered for one in offers}
    if any(mark not in known for mark in marks):
        raise WindowsChanged()
    if len({*marks}) > MOST:
        raise TooManyOffered(most=MOST)
    chosen = tuple(one.offered for one in offers if one.mark in marks)
    return replace(content, statement=statement_of(content, chosen=True), offered=chosen)


def offered_before(content: QuoteContent | None) -> Iterator[str]:
    """Yield the marks of the windows that a revision offered, and its own."""
    if content is not None and content.offered:
        yield from (mark_of(one.window_start) for one in content.offered)
        yield mark_of(content.event.window_start)


@dataclass(frozen=True, slots=True)
class _Draft:
    """A draft as it would be sent, and what it is computed from."""

    quote: Quote
    content: QuoteContent
    priced: Estimate
    book: Book
    kitchen: Kitchen
    dates: TermsDates
    now: datetime

    def at(self, window: Window) -> Offered | None:
        """Return a window with what is another for it; None where it does not work, or is not the same otherwise."""
        other = _at(self.quote, window)
        answer = window_of(other, self.priced, book=self.book, kitchen=self.kitchen, at=self.now)
        if answer is not None and not answer.fits:
            return None
        zone = _zone(self.kitchen)
        same_day = local_day(window[0], zone) == local_day(self.quote.inquiry.window_start, zone)
        if not same_day and day_over(other.inquiry, self.kitchen) is not None:
            return None
        dates = self._dates(other, answer.begins if answer else None)
        if dates.contradictions or dates.valid_until < self.dates.valid_until:
            return None
        found = self._content(other, replace(dates, valid_until=self.dates.valid_until), same_day=same_day)
        offered = _offered(self.content, found)
        same = replace(self.content, offered=(offered,), statement=found.statement)
        found = replace(found, statement=offered.statement, sent_at=self.content.sent_at)
        return offered if at_window(same, 1) == found else None

    def _dates(self, other: Quote, begins: datetime | None) -> TermsDates:
        """Return the dates for another window: with the one validity of the quote, and what the owner stated."""
        stated = Stated(self.dates.valid_until, not other.final_count_usual, other.final_count_on)
        return dates_of(other, self.kitchen, at=self.now, begins=begins, stated=stated)

    def _content(self, other: Quote, dates: TermsDates, *, same_day: bool) -> QuoteContent:
        """Return what would be sent; what it costs may be another on another day, because its tax may be."""
        priced = self.priced
        if not same_day:
            priced = estimate(self.book, brief_of_quote(other, day=self.now.astimezone(_zone(self.kitchen)).date()))
        return content_of(other, priced, self.book, self.kitchen, self.now, dates=dates)


def _zone(kitchen: Kitchen) -> ZoneInfo:
    return ZoneInfo(kitchen.time_zone)


def _at(quote: Quote, window: Window) -> Quote:
    """Return a copy of a draft and its inquiry for another window; nothing of it is saved."""
    other, inquiry = copy(quote), copy(quote.inquiry)
    inquiry.window_start, inquiry.window_end = window
    other.inquiry = inquiry
    return other


def _offered(content: QuoteContent, found: QuoteContent) -> Offered:
    """Return what of a content for another window is not as in the quote's own."""
    lines = list(zip(content.lines, found.lines, strict=False))
    return Offered(
        window_start=found.event.window_start,
        window_end=found.event.window_end,
        statement=statement_of(found, chosen=True),
        final_count_on=found.final_count_on,
        deposit_latest_on=found.deposit_latest_on,
        payments_on=tuple(one.due_on for one in found.payments_before),
        holding={new.product: new.holding for old, new in lines if new.holding != old.holding},
        serve_by={
            new.product: new.serve_by for old, new in lines if new.serve_by is not None and new.serve_by != old.serve_by
        },
    )
