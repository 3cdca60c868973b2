"""A wedding's draft and the owner at its pages, for the tests of quotes and of their answers."""

import pytest
from django.test import Client

from orders.quotes.models import Quote
from tests import factories
from tests.factories import NOW


@pytest.fixture
def quote(db: None) -> Quote:
    """A wedding's draft in a kitchen that can price."""
    factories.kitchen_make()
    return factories.draft_make()


@pytest.fixture
def owner(client: Client, quote: Quote, monkeypatch: pytest.MonkeyPatch) -> Client:
    """A browser in which the owner is signed in, on the day of the tests."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    client.force_login(factories.user_make())
    return client
