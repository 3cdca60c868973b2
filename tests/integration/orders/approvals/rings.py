"""A kitchen with four rings, into which five tables of four cakes fit before the event, and no more."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from catalog.book.revision import catalog_changed
from catalog.molds.models import Mold
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from orders.approvals.models import Approval
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.quotes.models import Quote
from tests.factories import BY, NOW, line_make, sent_make, table_make
from tests.remembered import remembered

SOON = NOW + timedelta(hours=1)
#: So many tables of four cakes fit into the days before the event.
FIT = 5


def rings_make(hold: int = 60) -> None:
    """Let four rings and a small cold room be all there is for the cake, and its glazing quick.

    ``hold`` is how long it may wait after each step [min]; at 0 there is room for one table, and that is proved.
    """
    ring = Mold.objects.create(name="Ring, 10 in", shape="round", diameter_cm="25", height_cm="6", owned=4)
    Product.objects.filter(code="walnut-cake").update(mold=ring, load=4)
    steps = ProductStep.objects.filter(product__code="walnut-cake")
    steps.filter(hands_each=60).update(hands_each=2)
    (steps.filter(hold_max=None) if hold else steps).update(hold_max=hold)
    Station.objects.filter(code="cold-room").update(places=12)
    Station.objects.filter(code="oven").update(places=4)
    catalog_changed()


def cakes(units: int = 4, **facts: Any) -> Quote:
    """Return a sent quote for cakes."""
    return sent_make(table=table_make(lines=(line_make("walnut-cake", units),), extras=()), **facts)


def approve(quote: Quote, at: datetime = SOON) -> Approval:
    """Approve as the customer."""
    return _approved(quote.pk, quote.content_sha256, at)


@remembered
def _approved(quote_id: int, content_sha256: str, at: datetime) -> Approval:
    evidence = ApprovalEvidence()
    return quote_approve(quote_id=quote_id, content_sha256=content_sha256, name="Ida", evidence=evidence, at=at)


def record(quote: Quote, at: datetime = SOON) -> Approval:
    """Record an approval as the owner."""
    return _recorded(quote.pk, at)


@remembered
def _recorded(quote_id: int, at: datetime) -> Approval:
    return quote_record_approval(quote_id=quote_id, name="Ida", reason="By phone", by=BY, at=at)


def filled(count: int = FIT) -> list[Quote]:
    """Approve so many tables of four cakes."""
    quotes = [cakes() for _ in range(count)]
    for quote in quotes:
        approve(quote)
    return quotes


def ordered_beside_the_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let approvals ask no plan, as before there was one."""
    for module in ("slots", "slot_services"):
        monkeypatch.setattr(f"orders.planning.{module}.plan_counts", lambda book: False)
