"""Why this price: every figure opens to its sum, a sent quote by the prices it was sent with."""

import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Pack
from orders.quotes.models import Quote
from orders.quotes.price_check.presenters import price_check_shown
from orders.quotes.price_check.selectors import PriceCheck, price_check
from orders.quotes.selectors import quotes_with_rows
from tests.factories import BY, NOW, draft_make, kitchen_make, user_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def test_every_cost_of_a_line_opens_to_its_formula(client: Client) -> None:
    kitchen_make()
    quote = draft_make()
    client.force_login(user_make())
    page = client.get(reverse("quote-price-check", args=[quote.pk])).content.decode()
    table = page[page.index("Price breakdown by product") :].split("</table>")[0]
    heads = re.findall(r'<th scope="col"[^>]*>(.*?)</th>', table)
    rows = re.findall(r'<tr><th scope="row">.*?</tr>', table, re.DOTALL)
    assert len(rows) == quote.lines.count()
    for row in rows:
        figures = dict(zip(heads, re.findall(r"<t[hd] .*?</t[hd]>", row, re.DOTALL), strict=True))
        closed = [head for head, figure in figures.items() if '<details class="why">' not in figure]
        assert closed == ["Product", "Margin"]


def checked(quote: Quote) -> PriceCheck:
    return price_check(quotes_with_rows().get(pk=quote.pk), day=NOW.date())


def test_every_figure_of_a_line_opens_to_its_sum(quote: Quote) -> None:
    check = checked(quote)
    for line in check.lines:
        for figure in ("ingredients", "labour", "overhead", "cost", "unit_cost", "target_price", "amount", "margin"):
            assert line.how[figure].formula
    assert check.totals["total"].formula
    assert "<svg" in price_check_shown(check).prices_chart


def test_a_sent_quote_is_explained_by_the_prices_it_was_sent_with(quote: Quote) -> None:
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    before = checked(quote)
    Pack.objects.update(price=Decimal(999))
    catalog_changed()
    after = checked(quote)
    assert after.as_sent
    assert before.estimate == after.estimate
