"""The invented year can be built at any time of a day, and it has every kind of story in it."""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from config.demo.year import build_year
from orders.cooling_log.models import CoolingRecord
from orders.inquiries.models import Inquiry
from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.quotes.models import CoolingOverride, Quote
from orders.records.states import InvoiceStatus, OrderStatus, QuoteStatus
from tests.integration.config.test_demo_kitchen import taken_over

pytestmark = pytest.mark.django_db


# Every weekday once, from a Saturday on: the kitchen is closed on Mondays, and every story needs a window that works.
@pytest.mark.parametrize(("profile", "day"), [(("us", "eu")[day % 2], day) for day in range(7)], ids=str)
def test_a_year_has_every_status_and_ends_with_a_wedding_that_waits(
    profile: str, day: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = datetime(2026, 11, 28, 14, 30, tzinfo=UTC) + timedelta(days=day)
    monkeypatch.setattr(timezone, "now", lambda: now)
    # Fifty PDFs take long, and how they look is tested elsewhere.
    monkeypatch.setattr("orders.documents.store.pdf_of", lambda *_, **__: b"%PDF-1.7 in place of a quote")
    taken_over(profile)
    reported: list[str] = []
    wedding = build_year(now, report=reported.append)
    assert wedding.status == QuoteStatus.SENT
    assert wedding.inquiry.guests == 140
    assert set(Quote.objects.values_list("status", flat=True)) == set(QuoteStatus.values)
    assert set(Order.objects.values_list("status", flat=True)) >= set(OrderStatus.values) - {"delivered"}
    assert set(Invoice.objects.values_list("status", flat=True)) >= set(InvoiceStatus.values) - {"draft"}
    assert Inquiry.objects.filter(quotes__status=QuoteStatus.DRAFT).exists()
    assert len(reported) == 2
    if profile == "us":
        # A large cake cools too slowly: it is measured, and once the first one had to be thrown away.
        outcomes = CoolingRecord.objects.values_list("outcome", "action")
        assert {("met", ""), ("not_met", "discarded")} <= set(outcomes)
        assert CoolingOverride.objects.exclude(measured_by="").exists()
