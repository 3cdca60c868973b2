"""A table that a guest cannot eat leaves only when the owner says it is settled; windows are offered by day."""

import pytest
from django.test import Client
from django.urls import reverse

from orders.quotes.models import Quote
from orders.records.states import QuoteStatus
from tests import factories
from tests.integration.orders.quotes.send.ticks import ticks

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setattr("django.utils.timezone.now", lambda: factories.NOW)
    factories.kitchen_make()
    client.force_login(factories.user_make())
    return client


def test_a_clash_with_the_guests_list_is_ticked_before_it_goes(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=("milk", "eggs", "wheat", "tree-nuts"))
    send = reverse("quote-send", args=[draft.pk])
    page = owner.get(send).content.decode()
    assert "it is settled with" in page
    refused = owner.post(send, {"unstated": ticks(draft)["unstated"]}).content.decode()
    assert "Not sent. Tick that you have seen what guests cannot eat" in refused
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.DRAFT
    owner.post(send, ticks(draft))
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.SENT


def test_without_a_clash_nothing_is_asked(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    send = reverse("quote-send", args=[draft.pk])
    assert "it is settled with" not in owner.get(send).content.decode()
    owner.post(send, {"unstated": ticks(draft)["unstated"]})
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.SENT
