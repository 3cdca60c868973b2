"""Open quotes recomputed at today's costs, to see their margins."""

from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction

from django.utils import timezone

from catalog.book.selectors import book_current
from orders.documents.content import content_read
from orders.quotes.draft.dessert_table import DessertTable, table_of
from orders.quotes.draft.estimate import DraftEstimate, estimate_draft_with
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.records.states import QuoteStatus


@dataclass(frozen=True, slots=True)
class Repriced:
    """An open quote with today's costs: a draft at today's prices, a sent one at the prices it was sent with."""

    quote: Quote
    draft_estimate: DraftEstimate

    @property
    def below_floor(self) -> bool:
        """Whether it now falls below the floor margin."""
        return self.draft_estimate.below_floor

    @property
    def total_minor(self) -> int | None:
        """The total quoted, or the draft's total."""
        return self.draft_estimate.total_minor if self.quote.total_minor is None else self.quote.total_minor

    @property
    def margin_now(self) -> Fraction | None:
        """The margin of the goods at today's costs."""
        return self.draft_estimate.estimate.totals.goods_margin if self.draft_estimate.estimate else None


def open_quotes_repriced(*, day: date) -> list[Repriced]:
    """Compute drafts and waiting quotes of open inquiries to come again with today's Book.

    Those that fall below the floor stand first, then by the day of the event. The number of queries is fixed.

    Raises CannotPrice when the catalog cannot be priced at all.
    """
    book = book_current()
    begins = timezone.make_aware(datetime.combine(day, time.min))
    quotes = quotes_with_rows().filter(
        status__in=[QuoteStatus.DRAFT, QuoteStatus.SENT],
        inquiry__closed_at__isnull=True,
        inquiry__window_start__gte=begins,
        currency=book.currency,
    )
    found = [
        Repriced(quote, estimate_draft_with(book, _quoted_table(quote), inquiry=quote.inquiry, day=day))
        for quote in quotes.defer("brief", "estimate").order_by("inquiry__window_start", "pk")
    ]
    return sorted(found, key=lambda one: not one.below_floor)


def _quoted_table(quote: Quote) -> DessertTable:
    """Return the quote's table; a sent one with the prices it was sent with, as if given by hand."""
    table = table_of(quote)
    if quote.status == QuoteStatus.SENT:
        for line in content_read(quote.content).lines:
            table = table.with_line(line.product, unit_price_minor=line.unit_price_minor)
    return table
