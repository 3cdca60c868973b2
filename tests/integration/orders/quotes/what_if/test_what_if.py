"""Another margin, discount or quantity is compared with the draft as it stands, and saved only when asked."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.what_if.selectors import WhatIf, what_if
from tests import factories
from tests.factories import NOW

pytestmark = pytest.mark.django_db


def test_a_margin_tried_becomes_prices_by_hand_that_reach_it(quote: Quote) -> None:
    full = quotes_with_rows().get(pk=quote.pk)
    compared = what_if(full, WhatIf(margin=Decimal("0.7")), day=NOW.date())
    for was, line in compared.rows:
        assert line.line.basis == "given"
        assert line.line.margin is not None
        assert was is not None
        assert line.line.margin >= Decimal("0.7")
        assert line.line.unit_price > was.line.unit_price
        assert (line.line.unit_price * 4).denominator == 1
    assert quotes_with_rows().get(pk=quote.pk).lines.all()[0].unit_price_minor is None


def test_a_quantity_tried_leaves_the_other_lines_as_they_are(quote: Quote) -> None:
    change = WhatIf(product="rice-glass", units=96, discount=Decimal("0.05"))
    compared = what_if(quotes_with_rows().get(pk=quote.pk), change, day=NOW.date())
    units = {line.product.code: line.line.units for line in compared.after.lines}
    assert units == {"custard-tart": 78, "rice-glass": 96, "quince-square": 60, "walnut-cake": 1}
    assert compared.after.estimate is not None
    assert compared.after.estimate.totals.discount > 0


def test_a_margin_tried_is_reached_where_prices_have_tax_in_them() -> None:
    factories.kitchen_make()
    Kitchen.objects.update(prices="gross")
    catalog_changed()
    compared = what_if(
        quotes_with_rows().get(pk=factories.draft_make().pk), WhatIf(margin=Decimal("0.6")), day=NOW.date()
    )
    for line in compared.after.lines:
        assert line.line.margin is not None
        assert Decimal("0.6") <= line.line.margin < Decimal("0.68")
        assert line.line.net < line.line.amount


def test_what_if_is_saved_only_when_asked(owner: Client, quote: Quote) -> None:
    address = reverse("quote-what-if", args=[quote.pk])
    page = owner.post(address, {"discount": "60", "do": "compare"}).content.decode()
    assert "Below the floor margin." in page
    assert Quote.objects.get(pk=quote.pk).discount == 0
    owner.post(address, {"discount": "5", "do": "save"})
    assert Quote.objects.get(pk=quote.pk).discount == Decimal("0.05")
    assert "Enter 96 or 108" in owner.post(address, {"product": "rice-glass", "units": "100"}).content.decode()
    assert "Enter another margin" in owner.post(address, {}).content.decode()
