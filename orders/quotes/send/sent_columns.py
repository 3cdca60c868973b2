"""The columns of a quote that is sent: what was computed, and what it says."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from catalog.kitchen.models import Kitchen
from costing.contract import Book, Brief, Estimate, write_book, write_brief, write_estimate
from costing.money.rounding import to_minor
from orders.documents.canonical_text import canonical_json
from orders.documents.content import QuoteContent, canonical, sha256_of
from orders.quotes.models import BookSnapshot


def sent_columns(
    kitchen: Kitchen, book: Book, brief: Brief, priced: Estimate, content: QuoteContent, at: datetime
) -> dict[str, Any]:
    """Return the columns of a quote that is sent, with the Book it was computed with."""
    text = canonical(content)
    return {
        "costing_date": brief.date,
        "currency": content.currency,
        "book": _snapshot(kitchen, book, at),
        "brief": canonical_json(write_brief(brief)),
        "estimate": canonical_json(write_estimate(priced)),
        "content": text,
        "valid_until": content.valid_until,
        "final_count_on": content.final_count_on,
        "content_sha256": sha256_of(text),
        "total_minor": content.total_minor,
        "deposit_minor": content.deposit_minor,
        "goods_margin": _goods_margin(priced),
    }


def _snapshot(kitchen: Kitchen, book: Book, at: datetime) -> BookSnapshot:
    body = canonical_json(write_book(book))
    snapshot, _ = BookSnapshot.objects.get_or_create(
        sha256=sha256_of(body), defaults={"revision": kitchen.revision, "body": body, "created_at": at}
    )
    return snapshot


def _goods_margin(priced: Estimate) -> Decimal | None:
    margin = priced.totals.goods_margin
    return None if margin is None else Decimal(to_minor(margin, 9)).scaleb(-9)
