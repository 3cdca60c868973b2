"""Open quotes at today's costs, those below the floor margin first."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Pack
from orders.quotes.models import Quote
from orders.quotes.repriced.selectors import open_quotes_repriced
from orders.quotes.send.services import quote_send
from tests import factories
from tests.factories import BY, NOW

pytestmark = pytest.mark.django_db


def test_repriced_lists_open_quotes_and_says_when_none_is(owner: Client, quote: Quote) -> None:
    assert quote.number in owner.get(reverse("repriced")).content.decode()
    Kitchen.objects.update(floor_margin=Decimal("0.9"))
    catalog_changed()
    assert "below your floor margin" in owner.get(reverse("repriced")).content.decode()
    quote.lines.all().delete()
    assert "nothing on the table yet" in owner.get(reverse("repriced")).content.decode()


def test_dearer_packs_show_which_open_quotes_fall_below_the_floor(quote: Quote) -> None:
    quote_send(quote_id=quote.pk, by=BY, at=NOW)
    factories.draft_make(title="Another supper")
    assert [row.below_floor for row in open_quotes_repriced(day=NOW.date())] == [False, False]
    Pack.objects.filter(ingredient__code__in=["cream", "butter", "quince"]).update(price=Decimal(120))
    catalog_changed()
    sent, draft = sorted(open_quotes_repriced(day=NOW.date()), key=lambda row: row.quote.pk)
    assert sent.below_floor
    assert sent.total_minor == Quote.objects.get(pk=quote.pk).total_minor
    assert not draft.below_floor  # a draft's prices follow the costs


def test_repricing_takes_the_same_queries_for_one_quote_and_for_six(quote: Quote) -> None:
    counts = []
    for more in (0, 5):
        for number in range(more):
            factories.draft_make(title=f"Supper {number}")
        open_quotes_repriced(day=NOW.date())
        with CaptureQueriesContext(connection) as caught:
            assert len(open_quotes_repriced(day=NOW.date())) == more + 1
        counts.append(len(caught))
    assert counts[0] == counts[1]
