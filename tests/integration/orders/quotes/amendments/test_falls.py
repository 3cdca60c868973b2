"""After the day of the final count an order's counts fall no further than its terms allow, unless the owner says so."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from orders.approvals.models import Message
from orders.documents.content import QuoteContent, content_read
from orders.orders.models import Order
from orders.quotes.amendments.fall_presenters import fall_words
from orders.quotes.amendments.falls import least_counts
from orders.quotes.models import Quote
from orders.records.models import AuditEntry
from orders.records.need_errors import TextUnread
from tests.each import each
from tests.factories import BY, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.amending import agree, amend_begin, amend_send
from tests.integration.orders.builders import order_make
from tests.integration.orders.private_link import entered
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def limited(fall: str | None = "0.1") -> tuple[Order, QuoteContent]:
    """Return an order whose count may fall by a share after its day, and its content."""
    kitchen_make(final_count_fall=None if fall is None else Decimal(fall))
    order = order_make()
    return order, content_read(order.quote.content)


def after(content: QuoteContent) -> Any:
    """Return noon of the day after the final count."""
    assert content.final_count_on is not None
    return (
        content.sent_at.replace(
            year=content.final_count_on.year,
            month=content.final_count_on.month,
            day=content.final_count_on.day,
            hour=12,
        )
        + DAY
    )


@each(
    ("fall", "guests", "least"),
    [("0.1", 120, 108), ("0.1", 101, 91), ("0", 120, 120), ("1", 120, 0), ("0.333", 100, 67)],
)
def test_the_least_is_rounded_up_to_a_whole_guest(fall: str, guests: int, least: int) -> None:
    kitchen_make(final_count_fall=Decimal(fall))
    order = order_make(guests=guests)
    content = content_read(order.quote.content)
    found = least_counts(order.quote, today=after(content).date())
    assert found is not None
    assert found.guests == least


def test_on_its_day_and_without_the_term_nothing_is_limited() -> None:
    order, content = limited()
    assert content.final_count_on is not None
    assert least_counts(order.quote, today=content.final_count_on) is None
    assert least_counts(order.quote, today=content.final_count_on + DAY) is not None


def test_without_the_term_it_is_as_agreed_and_contents_say_nothing() -> None:
    order, content = limited(None)
    assert least_counts(order.quote, today=after(content).date()) is None
    assert "final_count_fall" not in order.quote.content
    assert fall_words(content) == ""


@each(
    ("fall", "words"),
    [
        ("0.1", "After that it can be lowered by 10% at most."),
        ("0", "After that the count cannot be lowered."),
    ],
)
def test_the_quote_states_the_term(fall: str, words: str) -> None:
    order, _ = limited(fall)
    page = entered(Client(), order.quote).get(reverse("quote-page", args=[order.quote_id]))
    assert words in text(page)


def test_a_customer_cannot_ask_for_counts_below_and_can_write(monkeypatch: pytest.MonkeyPatch) -> None:
    order, content = limited()
    now = after(content)
    monkeypatch.setattr("django.utils.timezone.now", lambda: now)
    client, address = entered(Client(), order.quote), reverse("quote-page-change", args=[order.quote_id])
    line = content.lines[0]
    least = least_counts(order.quote, today=now.date())
    assert least is not None
    page = client.post(address, {"units_0": "36", "text": ""})
    assert f"to {least.servings} servings, not" in text(page)
    assert "write to us in the last field" in text(page)
    if content.event.guests:
        page = client.post(address, {"guests": "1", "text": ""})
        assert f"to {least.guests} guests, not 1." in text(page)
    assert not Message.objects.exists()
    # More is no less, and words are a message.
    assert client.post(address, {"units_0": str(line.units + 12), "text": ""}).status_code == 302
    assert client.post(address, {"text": "Could we have half of the cakes?"}).status_code == 302
    assert Message.objects.filter(text="Could we have half of the cakes?").exists()


def test_the_owner_lowers_it_below_with_a_tick_that_stays_in_the_history() -> None:
    order, content = limited()
    now, line = after(content), content.lines[0]
    draft = amend_begin(order, {line.product: 36}, at=now)
    Quote.objects.filter(pk=draft.pk).update(override_reason="a test's price")
    with refused(TextUnread, match="can be lowered by 10% at most"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=now, read=())
    sent = quote_send_seen(quote_id=draft.pk, by=BY, at=now)
    entry = AuditEntry.objects.get(event="fall_read", document_pk=sent.pk)
    assert "can be lowered by 10% at most" in entry.note
    page = signed_in("owner").get(reverse("quote", args=[sent.pk]))
    assert "count lowered below the terms, as agreed with the customer" in text(page)


def test_two_small_changes_fall_no_further_than_one() -> None:
    order, content = limited("0.5")
    now, line = after(content), content.lines[0]
    before = least_counts(order.quote, today=now.date())
    agree(amend_send(order, {line.product: line.units - 12}, at=now), at=now + timedelta(hours=1))
    changed = Order.objects.select_related("quote").get(pk=order.pk)
    assert content_read(changed.quote.content).servings < content.servings
    for days in (0, 1, 5):
        assert least_counts(changed.quote, today=now.date() + days * DAY) == before


def test_what_was_changed_before_the_day_is_what_counts_after_it() -> None:
    order, content = limited("0.5")
    line = content.lines[0]
    agree(amend_send(order, {line.product: line.units + 12}))
    changed = Order.objects.select_related("quote").get(pk=order.pk)
    more = content_read(changed.quote.content)
    found = least_counts(changed.quote, today=after(more).date())
    assert found is not None
    assert found.servings == -(-more.servings // 2)
