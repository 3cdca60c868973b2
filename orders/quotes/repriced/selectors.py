"""Open quotes recomputed at today's costs, to see their margins."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time
from fractions import Fraction

from django.db.models import Prefetch
from django.utils import timezone

from catalog.book.selectors import book_current
from costing.contract import Book, InputErrors
from costing.contract.estimate import Totals
from costing.estimating.engine import order_totals
from costing.money.rounding import minor_digits, to_minor
from orders.documents.content import content_read
from orders.quotes.draft.allergens import labels_changed
from orders.quotes.draft.dessert_table import DessertTable, brief_of, table_of
from orders.quotes.draft.estimate import Problem, problems_of_errors
from orders.quotes.models import Quote, QuoteExtra, QuoteLine
from orders.records.states import QuoteStatus


@dataclass(frozen=True, slots=True)
class Repriced:
    """An open quote with today's costs: a draft at today's prices, a sent one at the prices it was sent with.

    Without ``totals``, ``problems`` says why; an empty table has neither. ``labels_changed`` is true of a sent one
    whose desserts hold, or may hold, allergens that it does not name.
    """

    quote: Quote
    totals: Totals | None = None
    problems: tuple[Problem, ...] = ()
    labels_changed: bool = False

    @property
    def below_floor(self) -> bool:
        """Whether it now falls below the floor margin."""
        return self.totals is not None and self.totals.below_floor

    @property
    def total_minor(self) -> int | None:
        """The total quoted, or the draft's total."""
        if self.quote.total_minor is not None or self.totals is None:
            return self.quote.total_minor
        return to_minor(self.totals.total, minor_digits(self.quote.currency))

    @property
    def margin_now(self) -> Fraction | None:
        """The margin of the goods at today's costs."""
        return self.totals.goods_margin if self.totals else None


def open_quotes_repriced(*, day: date, book: Book | None = None) -> list[Repriced]:
    """Compute drafts and waiting quotes of open inquiries to come again, at the prices of a day.

    Those that fall below the floor stand first, then by the day of the event. The number of queries is fixed. Only
    totals and margins are computed: an estimate's warnings, packs and windows would take twenty times as long.

    Inquiries are to come where their event is on that day or later. Without ``book`` the current one is used.

    Raises CannotPrice when the catalog cannot be priced at all.
    """
    book = book or book_current()
    begins = timezone.make_aware(datetime.combine(day, time.min))
    quotes = Quote.objects.filter(
        status__in=[QuoteStatus.DRAFT, QuoteStatus.SENT],
        inquiry__closed_at__isnull=True,
        inquiry__window_start__gte=begins,
        currency=book.currency,
    )
    lines = QuoteLine.objects.select_related("product").only(
        "quote", "units", "unit_price_minor", "share", "product__code"
    )
    rows = (
        quotes.select_related("inquiry__customer")
        .prefetch_related(
            Prefetch("lines", queryset=lines),
            Prefetch("extras", queryset=QuoteExtra.objects.select_related("tax")),
        )
        .defer("brief", "estimate")
        .order_by("inquiry__window_start", "pk")
    )
    every = list(rows)
    changed = labels_changed(every)
    found = (replace(_repriced(quote, book, day), labels_changed=quote.pk in changed) for quote in every)
    return sorted(found, key=lambda one: not one.below_floor)


def _repriced(quote: Quote, book: Book, day: date) -> Repriced:
    table = _quoted_table(quote)
    if not table.lines:
        return Repriced(quote)
    try:
        return Repriced(
            quote, order_totals(book, brief_of(table, inquiry=quote.inquiry, currency=book.currency, day=day))
        )
    except InputErrors as errors:
        return Repriced(quote, problems=problems_of_errors(errors.errors, table, book))


def _quoted_table(quote: Quote) -> DessertTable:
    """Return the quote's table; a sent one with the prices it was sent with, as if given by hand."""
    table = table_of(quote)
    if quote.status == QuoteStatus.SENT:
        for line in content_read(quote.content).lines:
            table = table.with_line(line.product, unit_price_minor=line.unit_price_minor)
    return table
