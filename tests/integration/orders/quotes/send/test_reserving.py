"""The day of a quote is kept while the customer decides, if the owner wants it."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from orders.approvals.links import link_create
from orders.approvals.services import ApprovalEvidence, quote_decline
from orders.orders.models import Order
from orders.planning.models import KitchenPlan
from orders.planning.reserved import day_is_reserved
from orders.quotes.models import Quote
from orders.quotes.send.reserving import day_release
from orders.quotes.send.services import quote_revise, quote_withdraw, quotes_expire
from orders.records.slot_errors import NoSlot
from orders.records.states import QuoteStatus
from tests.factories import BY, NOW, draft_make, line_make, pdf_stored, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.approvals.rings import FIT, SOON, approve, cakes, filled, rings_make
from tests.integration.orders.quotes.send.ticks import ticks
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    rings_make()


def draft() -> Quote:
    return draft_make(table=table_make(lines=(line_make("walnut-cake", 4),), extras=()))


def reserved(**facts: Any) -> Quote:
    return pdf_stored(quote_send_seen(quote_id=draft().pk, by=BY, at=NOW, reserve_day=True, **facts))


def test_a_kept_day_is_in_the_plan_like_an_order() -> None:
    quote = reserved()
    filled(FIT - 1)
    with pytest.raises(NoSlot):
        approve(cakes())
    approve(quote)
    assert Order.objects.count() == FIT
    assert KitchenPlan.objects.get().reserved == []


@pytest.mark.parametrize("how", ["decline", "withdraw", "expire", "release"])
def test_it_is_free_when_the_quote_is_answered_or_released(how: str) -> None:
    quote, late = reserved(), NOW + timedelta(days=8)
    filled(FIT - 1)
    last = cakes()
    if how == "decline":
        quote_decline(quote_id=quote.pk, reason="", evidence=ApprovalEvidence(), at=SOON)
    elif how == "withdraw":
        quote_withdraw(quote_id=quote.pk, by=BY, at=SOON)
    elif how == "expire":
        assert quote.valid_until is not None
        late = quote.valid_until + timedelta(minutes=1)
        assert day_is_reserved(quote, SOON)
        assert not day_is_reserved(quote, late)
        quotes_expire(at=late)
        last = cakes(at=late)
    else:
        assert day_release(quote_id=quote.pk, by=BY, at=SOON)
        assert not day_release(quote_id=quote.pk, by=BY, at=SOON)
    approve(last, at=late + timedelta(hours=1) if how == "expire" else SOON)


def test_a_revision_takes_the_place_of_the_day_that_is_kept() -> None:
    quote = reserved()
    filled(FIT - 1)
    again = quote_revise(quote_id=quote.pk, by=BY, at=SOON)
    sent = quote_send_seen(quote_id=again.pk, by=BY, at=SOON, reserve_day=True)
    assert KitchenPlan.objects.get().reserved == [sent.pk]
    with pytest.raises(NoSlot):
        approve(cakes())


def test_a_day_without_a_place_is_not_kept_and_nothing_is_sent() -> None:
    filled(FIT)
    one = draft()
    with pytest.raises(NoSlot):
        quote_send_seen(quote_id=one.pk, by=BY, at=SOON, reserve_day=True)
    one.refresh_from_db()
    assert one.status == QuoteStatus.DRAFT
    assert quote_send_seen(quote_id=one.pk, by=BY, at=SOON).status == QuoteStatus.SENT


def test_the_owner_ticks_it_and_releases_it_and_the_customer_reads_both(
    owner: Client, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    one = draft()
    send = reverse("quote-send", args=[one.pk])
    page = owner.get(send).content.decode()
    assert 'name="reserve_day"' in page
    assert 'id="reserve_day" checked' not in page, "off by default"
    assert owner.post(send, {**ticks(one, NOW), "reserve_day": "on"}).status_code == 302
    quote = pdf_stored(one)
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=NOW)]), follow=True)
    mine = reverse("quote-page", args=[quote.pk])
    assert "We keep this time for you until" in text(client.get(mine))
    page = text(owner.get(reverse("quote", args=[quote.pk])))
    assert "The time is kept for Ida Fenwick until" in page
    assert "time kept for the customer" in page
    assert owner.post(reverse("quote-day-release", args=[quote.pk])).status_code == 302
    assert "The time is kept for" not in text(owner.get(reverse("quote", args=[quote.pk])))
    assert "We no longer keep this time for you." in text(client.get(mine))
