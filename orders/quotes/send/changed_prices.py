"""Prices that a revision moves though nobody changed their dessert: an order shares its batches and packs."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from orders.documents.content import QuoteContent, content_read
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote, QuoteLine


@dataclass(frozen=True, slots=True)
class ChangedPrice:
    """A dessert in the quantity that was sent, at another price each; minor units."""

    code: str
    name: str
    units: int
    was_minor: int
    now_minor: int


def given_prices(quote: Quote) -> frozenset[str]:
    """Return the codes of the products whose price is given by hand: one query."""
    rows = QuoteLine.objects.filter(quote=quote, unit_price_minor__isnull=False)
    return frozenset(rows.values_list("product__code", flat=True))


def changed_prices(quote: Quote, content: QuoteContent) -> tuple[ChangedPrice, ...]:
    """Return the desserts of a draft whose quantity is the one sent before and whose price is not, and not by hand."""
    sent = _sent(quote, content.currency, content.prices)
    given = {line.code for line in table_of(quote).lines if line.unit_price_minor is not None}
    return tuple(
        ChangedPrice(line.product, line.name, line.units, was, line.unit_price_minor)
        for line in content.lines
        if line.product not in given
        and (was := sent.get((line.product, line.units))) is not None
        and was != line.unit_price_minor
    )


def _sent(quote: Quote, currency: str, prices: str) -> dict[tuple[str, int], int]:
    """Return the price each of every product and quantity in the revision before; empty where it cannot be given."""
    older = quote.replaces
    before = content_read(older.content) if older is not None and older.content else None
    if before is None or before.erased or (before.currency, before.prices) != (currency, prices):
        return {}
    return {(line.product, line.units): line.unit_price_minor for line in before.lines}


def prices_stay(*, quote_id: int, codes: Collection[str], version: str, by: str, at: datetime) -> Quote:
    """Give desserts of a draft the price that was sent before, by hand, where their quantity is the one sent.

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
    older, table = quote.replaces, table_of(quote)
    prices = content_read(older.content).prices if older is not None and older.content else ""
    sent = _sent(quote, quote.currency, prices)
    for line in table.lines:
        if line.code in codes and (was := sent.get((line.code, line.units))) is not None:
            table = table.with_line(line.code, unit_price_minor=was)
    return draft_save(quote_id=quote_id, table=table, version=version, by=by, at=at)
