"""Drafts of tarts that break the cooling rule, or do so later, for tests."""

from datetime import timedelta
from typing import Any

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from catalog.rates.models import Station
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.quotes.models import Quote
from tests.cooling_kitchen import DEEP, cooling_kitchen_make, override_make
from tests.factories import BY, NOW, draft_make, line_make, pdf_stored, table_make
from tests.sending import quote_send_seen

TART = "custard-tart"
SOON = NOW + timedelta(hours=2)


def drafted(*codes: str) -> Quote:
    lines = tuple(line_make(code, 24) for code in codes or (TART,))
    return draft_make(table=table_make(lines=lines, extras=()))


def tart_deep(height_cm: str) -> None:
    Product.objects.filter(code=TART).update(fill_height_cm=height_cm)
    catalog_changed()


def send(quote: Quote, **facts: Any) -> Quote:
    return quote_send_seen(quote_id=quote.pk, by=BY, at=SOON, **facts)


def sent_shallow() -> Quote:
    """A sent quote whose tart kept the rule when it was sent."""
    cooling_kitchen_make(**DEEP | {"diameter_cm": "12", "height_cm": "1.2"})
    return pdf_stored(send(drafted()))


def sent_measured() -> Quote:
    """A sent quote whose tart breaks the rule, with what is measured instead on record."""
    cooling_kitchen_make(**DEEP)
    quote = drafted()
    override_make(quote)
    return pdf_stored(send(quote))


def cold_room_at(air_c: str) -> None:
    Station.objects.filter(code="cold-room").update(air_c=air_c)
    catalog_changed()


def approve(quote: Quote) -> None:
    quote_approve(
        quote_id=quote.pk, content_sha256=quote.content_sha256, name="Ida", evidence=ApprovalEvidence(), at=SOON
    )
