"""The customer's page of a kitchen whose prices have tax in them."""

import re

import pytest
from django.core.cache import cache
from django.test import Client

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from tests.factories import kitchen_make, sent_make
from tests.integration.orders.private_link import entered

pytestmark = pytest.mark.django_db


def test_prices_with_tax_in_them_say_so(client: Client) -> None:
    cache.clear()
    kitchen_make()
    Kitchen.objects.filter(pk=1).update(prices="gross", tax_name="VAT")
    catalog_changed()
    quote = sent_make()
    page = entered(client, quote).get(f"/q/{quote.pk}/").content.decode()
    stated = r"Tax included in the total: \$[\d.]+ VAT at 8% \(Food, \$[\d.,]+ without it\)\."
    assert re.search(stated, page), "the untaxed hire is not listed"
    assert "Subtotal" not in page
