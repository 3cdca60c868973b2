"""The invented year can be built at any time of a day, and it has every kind of story in it."""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import ClosedDay, DatedHours
from catalog.kitchen.selectors import kitchen
from config.demo import stories, year
from config.demo.days import days_that_differ
from config.demo.year import build_year
from orders.cooling_log.models import CoolingRecord
from orders.inquiries.models import Inquiry
from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.planning.plans import plan_days
from orders.planning.selectors import kitchen_days
from orders.quotes.cooling.selectors import broken, not_judged, ruled_table, table_units
from orders.quotes.draft.services import Terms, draft_terms
from orders.quotes.models import CoolingOverride, Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.records.models import AuditEntry
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
    # Of each profile one year is whole; what hangs on the day it is started shows where every story comes once.
    if day > 1:
        monkeypatch.setattr(stories, "PAST", tuple(dict.fromkeys(stories.PAST)))
        monkeypatch.setattr(year, "EVERY", 336 // len(stories.PAST))
    taken_over(profile)
    with_days_that_differ(profile, now)
    reported: list[str] = []
    with timezone.override(kitchen().time_zone):
        wedding = build_year(now, report=reported.append)
    assert wedding.status == QuoteStatus.SENT
    assert wedding.inquiry.guests == 140
    assert set(Quote.objects.values_list("status", flat=True)) == set(QuoteStatus.values)
    assert set(Order.objects.values_list("status", flat=True)) >= set(OrderStatus.values) - {"delivered"}
    assert set(Invoice.objects.values_list("status", flat=True)) >= set(InvoiceStatus.values) - {"draft"}
    issued = AuditEntry.objects.filter(document__in=("invoice", "credit_note"), event="issue")
    assert {entry.by for entry in issued} == {"odile"}
    assert Inquiry.objects.filter(quotes__status=QuoteStatus.DRAFT).exists()
    assert len(reported) == 2
    assert [str(quote) for quote in Quote.objects.exclude(status=QuoteStatus.DRAFT) if quote.sent_at is None] == []
    for quote in quotes_with_rows():
        nothing_left_open(quote)
    (draft,) = (quote for quote in quotes_with_rows().filter(status=QuoteStatus.DRAFT) if quote.lines.exists())
    with_terms(draft, now)
    check = send_check(quotes_with_rows().get(pk=draft.pk), at=now)
    assert check.may_go
    assert (check.unstated, check.not_judged) == ((), ())
    # What is promised has its place: hands, ovens, cold places and molds are enough.
    with timezone.override(kitchen().time_zone):
        planned = plan_days(kitchen_days(now.date(), now.date() + timedelta(days=21)))
    assert planned.plan.placed
    assert [one.batch for one in planned.over] == []
    if profile == "us":
        # A large cake cools too slowly: it is measured, and once the first one had to be thrown away.
        outcomes = CoolingRecord.objects.values_list("outcome", "action")
        assert {("met", ""), ("not_met", "discarded")} <= set(outcomes)
        assert CoolingOverride.objects.exclude(measured_by="").exists()
        assert not CoolingOverride.objects.filter(measured__contains="°C").exists()


def with_days_that_differ(profile: str, now: datetime) -> None:
    """Add the days of the calendar that ``manage.py demo prepare`` counts from today."""
    differing = days_that_differ(int(profile == "eu"), now)
    (closed,), (own,) = differing["closed"], differing["days"]
    assert closed["reason"]
    ClosedDay.objects.create(**closed)
    DatedHours.objects.create(**own)
    catalog_changed()


def nothing_left_open(quote: Quote) -> None:
    """Check that nothing of a quote waits for an answer about cooling, and what breaks the rule has its record."""
    book, units = book_current(), table_units(quote)
    assert not_judged(units, book) == (), quote.number
    assert [one.name for one in broken(units, book) if one.missing is not None] == [], quote.number
    if quote.sent_at is not None:
        assert ruled_table(quote, units, book).unrecorded == (), quote.number


def with_terms(draft: Quote, now: datetime) -> None:
    """Enter until when a draft is valid, as the owner does before it is sent."""
    terms = Terms(
        valid_until=now + timedelta(days=5),
        deposit_share=draft.deposit_share,
        deposit_days=draft.deposit_days,
        balance_days=draft.balance_days,
        final_count_on=draft.final_count_on,
        final_count_usual=draft.final_count_usual,
        cancellation_terms=draft.cancellation_terms,
        note=draft.note,
    )
    draft_terms(quote_id=draft.pk, terms=terms, by="odile", at=now)
