"""Open quotes at today's costs, those below the floor margin first."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Pack
from orders.quotes.draft.estimate import estimate_draft_with
from orders.quotes.draft.presenters import problems_shown
from orders.quotes.models import Quote
from orders.quotes.repriced.selectors import _quoted_table, open_quotes_repriced
from tests import factories
from tests.factories import BY, NOW
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def test_repriced_lists_open_quotes_and_says_when_none_is(owner: Client, quote: Quote) -> None:
    assert quote.number in owner.get(reverse("repriced")).content.decode()
    Kitchen.objects.update(floor_margin=Decimal("0.9"))
    catalog_changed()
    assert "below your floor margin" in owner.get(reverse("repriced")).content.decode()
    quote.lines.all().delete()
    assert "no products yet" in owner.get(reverse("repriced")).content.decode()


def test_dearer_packs_show_which_open_quotes_fall_below_the_floor(quote: Quote) -> None:
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
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


def test_the_figures_are_those_of_the_whole_estimate(quote: Quote) -> None:
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    factories.draft_make(title="Another supper", table=factories.table_make(discount=Decimal("0.4"), rush=True))
    Pack.objects.filter(ingredient__code="butter").update(price=Decimal(90))
    catalog_changed()
    book = book_current()
    for row in open_quotes_repriced(day=NOW.date()):
        table = _quoted_table(row.quote)
        whole = estimate_draft_with(book, table, inquiry=row.quote.inquiry, day=NOW.date())
        assert whole.estimate is not None
        assert row.totals == whole.estimate.totals
        assert row.below_floor == whole.below_floor
        assert row.total_minor == (whole.total_minor if row.quote.total_minor is None else row.quote.total_minor)


def test_a_quote_that_cannot_be_priced_says_why_on_the_page(owner: Client, quote: Quote) -> None:
    Pack.objects.filter(ingredient__code="butter").delete()
    catalog_changed()
    (row,) = open_quotes_repriced(day=NOW.date())
    whole = estimate_draft_with(book_current(), _quoted_table(row.quote), inquiry=row.quote.inquiry, day=NOW.date())
    assert row.problems == whole.problems
    assert row.totals is None
    sentence = problems_shown(row.problems)[0].sentence
    assert sentence
    assert escape(sentence) in owner.get(reverse("repriced")).content.decode()


def test_nothing_but_totals_is_computed(quote: Quote, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError("cautions nobody reads")

    for name in ("warnings_of", "_made_and_bought", "_line"):
        monkeypatch.setattr(f"costing.estimating.engine.{name}", never)
    (row,) = open_quotes_repriced(day=NOW.date())
    assert row.margin_now is not None
