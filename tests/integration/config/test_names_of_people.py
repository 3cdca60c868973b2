"""Pages call people by their names, not by the user names they sign in with."""

import re
from datetime import date

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from orders.orders.models import Order
from orders.register.services import export_make
from tests import factories
from tests.factories import BY, NOW
from tests.integration.config.routes import addresses, routes

pytestmark = pytest.mark.django_db
#: Where the user name is what the page is about.
ABOUT_SIGNING_IN = ("/account/", "/kitchen/people/")


@pytest.fixture
def owner(client: Client) -> Client:
    client.force_login(factories.user_make())
    return client


def text_of(client: Client, path: str) -> str:
    page = client.get(path)
    if page.streaming or "html" not in page["Content-Type"]:
        return ""
    return " ".join(re.sub(r"<[^>]*>", " ", page.content.decode()).split())


def test_no_page_shows_the_user_name_of_somebody_who_has_a_name(owner: Client, records: dict[str, list[int]]) -> None:
    first, last = date(2026, 1, 1), date(2027, 12, 31)
    export_make(first_day=first, last_day=last, currency="USD", by=BY, at=NOW)
    User.objects.filter(username=BY).update(first_name="Perpetua", last_name="Quill")
    shown = {}
    for route in routes():
        for address in addresses(route, records):
            if not address.startswith(ABOUT_SIGNING_IN):
                shown[address] = text_of(owner, address)
    named = [address for address, words in shown.items() if words.count("Perpetua Quill") > 1]
    assert [address for address, words in shown.items() if re.search(rf"\b{BY}\b", words)] == []
    assert {address.split("/")[1] for address in named} >= {"quotes", "orders", "money", "catalog"}


def test_who_has_no_name_is_called_by_the_user_name(owner: Client) -> None:
    factories.kitchen_make()
    order = Order.objects.get(quote=factories.approved_make())
    assert f"by {BY}" in text_of(owner, reverse("quote", args=[order.quote_id]))
