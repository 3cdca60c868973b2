"""What is sent is not what the page showed, though nobody changed the quote: the refusal names what it was."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus
from tests.factories import draft_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.quotes.send.ticks import ticks

pytestmark = pytest.mark.django_db


def test_a_change_in_the_catalog_is_named_and_the_ticks_stay(owner: Client, small_kitchen: Kitchen) -> None:
    """Seen: "was changed in the meantime", of a quote that nobody had touched."""
    quote = draft_make()
    address = reverse("quote-send", args=[quote.pk])
    page = owner.get(address)
    form = {"total_minor": page.context["content"].total_minor, "seen": page.context["seen"]}
    form |= ticks(quote, timezone.now())
    Product.objects.filter(code="walnut-cake").update(description="Now with candied walnuts")
    catalog_changed()
    again = owner.post(address, form)
    words = text(again)
    assert "was changed in the meantime" not in words
    assert "this changed: products, their prices or what is known of them in the catalog." in words
    assert "dates of the terms" not in words
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.DRAFT
    for mark in form["read"]:
        assert f'value="{mark}" id="read_1" autocomplete="off" checked' in again.content.decode()
    owner.post(address, form | {"seen": again.context["seen"]})
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.SENT


def test_a_mark_of_an_older_page_counts_as_another(owner: Client, small_kitchen: Kitchen) -> None:
    quote = draft_make()
    address = reverse("quote-send", args=[quote.pk])
    page = owner.get(address)
    form = {"total_minor": page.context["content"].total_minor, "seen": "0" * 20} | ticks(quote, timezone.now())
    assert "this changed: the text of the quote." in text(owner.post(address, form))
