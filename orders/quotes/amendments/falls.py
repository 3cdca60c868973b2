"""How far the counts of an order may fall after the day of its final count, as its terms say.

What counts are the guests and the servings of the content that was in force at the end of that day: so two small
changes fall no further than one. A change after it may state a later day, and the count stays final; only with another
day of the event it is counted anew.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import ceil

from catalog.kitchen.selectors import local_day
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus


@dataclass(frozen=True, slots=True)
class Fallen:
    """A count that is lower than the terms allow: "guests" or "servings", what it would be, and the least."""

    what: str
    count: int
    least: int


@dataclass(frozen=True, slots=True)
class LeastCounts:
    """The least counts of an order since ``day``, by which they may fall by a ``share``; None of what is not known."""

    day: date
    share: Decimal
    guests: int | None
    servings: int

    def below(self, guests: int | None, servings: int) -> Iterator[Fallen]:
        """Return the counts that are below."""
        if guests is not None and self.guests is not None and guests < self.guests:
            yield Fallen("guests", guests, self.guests)
        if servings < self.servings:
            yield Fallen("servings", servings, self.servings)


def least_counts(in_force: Quote, *, today: date) -> LeastCounts | None:
    """Return the least counts of the order that a quote is in force of; None before its day and without such a term."""
    approved = _approved(in_force)
    replaced = [*(on for on, _ in approved[1:]), date.max]
    for (_, content), replaced_on in zip(approved, replaced, strict=False):
        share, day = content.final_count_fall, content.final_count_on
        if share is not None and day is not None and day < min(today, replaced_on):
            guests = content.event.guests
            least = None if guests is None else _least(guests, share)
            return LeastCounts(day, share, least, _least(content.servings, share))
    return None


def _approved(in_force: Quote) -> list[tuple[date, QuoteContent]]:
    """Return what was approved for the day of the event as it is, the oldest first, each with its day."""
    every = Quote.objects.filter(number=in_force.number, status__in=(QuoteStatus.APPROVED, QuoteStatus.AMENDED))
    found: list[tuple[date, QuoteContent]] = []
    for quote in every.order_by("revision"):
        content = content_agreed(quote)
        if found and found[-1][1].event.window_start.date() != content.event.window_start.date():
            found = []
        found.append((local_day(quote.answered_at) if quote.answered_at else date.min, content))
    return found


def servings_with(content: QuoteContent, units: Mapping[str, int]) -> int:
    """Return the servings of a content with other units of some of its desserts."""
    each = ((line, units.get(line.product, line.units)) for line in content.lines)
    return sum(line.servings * count // line.units if line.units else 0 for line, count in each)


def _least(count: int, share: Decimal) -> int:
    return ceil(count * (1 - Fraction(share)))
