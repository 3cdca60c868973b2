"""Prices each that a revision moves, with its quantity or without: an order shares its batches and packs."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from orders.documents.content import Line, QuoteContent
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote, QuoteLine
from orders.quotes.selectors import content_before


@dataclass(frozen=True, slots=True)
class ChangedPrice:
    """A dessert at another price each than was sent; minor units. ``was_units`` is the quantity sent."""

    code: str
    name: str
    units: int
    was_units: int
    was_minor: int
    now_minor: int

    @property
    def recounted(self) -> bool:
        """Whether its quantity is not the one that was sent."""
        return self.units != self.was_units


def given_prices(quote: Quote) -> frozenset[str]:
    """Return the codes of the products whose price is given by hand: one query."""
    rows = QuoteLine.objects.filter(quote=quote, unit_price_minor__isnull=False)
    return frozenset(rows.values_list("product__code", flat=True))


def changed_prices(quote: Quote, content: QuoteContent) -> tuple[ChangedPrice, ...]:
    """Return the desserts of a draft whose price is not the one sent before, and not by hand."""
    sent = _sent(quote, content.currency, content.prices)
    given = {line.code for line in table_of(quote).lines if line.unit_price_minor is not None}
    return tuple(
        ChangedPrice(line.product, line.name, line.units, was.units, was.unit_price_minor, line.unit_price_minor)
        for line in content.lines
        if line.product not in given
        and (was := sent.get(line.product)) is not None
        and was.unit_price_minor != line.unit_price_minor
    )


def _sent(quote: Quote, currency: str, prices: str) -> dict[str, Line]:
    """Return the line of every product in what it is compared with; empty where its price cannot be given."""
    before = content_before(quote)
    if before is None or before.erased or (before.currency, before.prices) != (currency, prices):
        return {}
    return {line.product: line for line in before.lines}


def prices_stay(*, quote_id: int, codes: Collection[str], version: str, by: str, at: datetime) -> Quote:
    """Give desserts of a draft the price that was sent before, by hand, in whatever quantity.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    NotADraft
        If it was sent or withdrawn.
    Overtaken
        If another table was saved since ``version``.
    """
    quote = Quote.objects.select_related("replaces").get(pk=quote_id)
    table, before = table_of(quote), content_before(quote)
    sent = {} if before is None else _sent(quote, quote.currency, before.prices)
    for line in table.lines:
        if line.code in codes and (was := sent.get(line.code)) is not None:
            table = table.with_line(line.code, unit_price_minor=was.unit_price_minor)
    return draft_save(quote_id=quote_id, table=table, version=version, by=by, at=at)
