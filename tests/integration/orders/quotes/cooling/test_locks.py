"""The Book is read and verdicts are computed before the transaction that holds the database's lock."""

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.cooling import selectors
from orders.approvals.links import link_create
from orders.cooling_log.models import CoolingRecord
from orders.orders.models import Order
from tests.integration.orders.cooling_log.measuring import AFTER, deep_order, tart
from tests.integration.orders.quotes.cooling.drafts import SOON, sent_shallow
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def depths(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """In how many transactions each computing of verdicts was."""
    found: list[int] = []
    compute = selectors.cooled

    def counted(*facts: object) -> object:
        found.append(len(connection.savepoint_ids))
        return compute(*facts)  # type: ignore[arg-type]  # what it was called with

    monkeypatch.setattr(selectors, "cooled", counted)
    return found


@pytest.mark.parametrize("who", ["customer", "owner"])
def test_an_approval_finds_its_verdicts_known(who: str, depths: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    quote = sent_shallow()
    monkeypatch.setattr("django.utils.timezone.now", lambda: SOON)
    client = signed_in("owner") if who == "owner" else Client()
    if who == "customer":
        client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]))
    catalog_changed()
    depths.clear()
    sent = {"name": "Ida", "how": "phone", "content_sha256": quote.content_sha256}
    page = "quote-record-approval" if who == "owner" else "quote-page-approve"
    client.post(reverse(page, args=[quote.pk]), sent)
    assert Order.objects.exists()
    assert depths == [0]


def test_a_cooling_record_finds_its_verdicts_known(depths: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    order = deep_order()
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    client = signed_in("kitchen")
    catalog_changed()
    depths.clear()
    day = timezone.localtime(AFTER).strftime("%m/%d/%Y")
    sent = {"item": str(tart()), "day": day, "started_time": "9:00", "part": "0", "outcome": "cooling"}
    client.post(
        reverse("order-cooling", args=[order.pk]), sent | {"readings-0-celsius": "68", "readings-0-time": "11:00"}
    )
    assert CoolingRecord.objects.exists()
    assert depths == [0]
