"""A wedding's draft and the owner at its pages, for the tests of quotes and of their answers."""

import pytest
from django.test import Client

from catalog.kitchen.models import Kitchen
from orders.quotes.models import Quote
from tests import factories
from tests.factories import NOW


@pytest.fixture
def small_kitchen(db: None) -> Kitchen:
    """A kitchen that can price."""
    return factories.kitchen_make()


@pytest.fixture
def quote(small_kitchen: Kitchen) -> Quote:
    """A wedding's draft in that kitchen."""
    return factories.draft_make()


@pytest.fixture
def owner(client: Client, small_kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> Client:
    """A browser in which the owner is signed in, on the day of the tests."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    client.force_login(factories.user_make())
    return client
