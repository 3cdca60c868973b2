"""Why this price: every figure opens to its sum, a sent quote by the prices it was sent with."""

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack
from catalog.taxes.models import TaxCategory
from catalog.web.figure_rows import FigureRow
from orders.quotes.models import Quote
from orders.quotes.price_check.presenters import price_check_shown
from orders.quotes.price_check.selectors import PriceCheck, price_check
from orders.quotes.selectors import quotes_with_rows
from tests.factories import BY, NOW, draft_make, kitchen_make, user_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def checked(quote: Quote) -> PriceCheck:
    return price_check(quotes_with_rows().get(pk=quote.pk), day=NOW.date())


def test_every_figure_of_a_line_opens_to_its_sum(quote: Quote) -> None:
    check = checked(quote)
    for line in check.lines:
        for figure in ("ingredients", "labour", "overhead", "cost", "unit_cost", "target_price", "amount", "margin"):
            assert line.how[figure].formula
    assert check.totals["total"].formula


def opened(rows: Iterable[FigureRow]) -> Iterator[FigureRow]:
    for row in rows:
        yield row
        yield from opened(row.rows)


def test_every_figure_of_the_page_opens_full_width_to_its_sum(quote: Quote) -> None:
    shown = price_check_shown(checked(quote))
    rows = list(opened([*shown.parts, *shown.products, *shown.order, *shown.ingredients]))
    assert {row.name for row in rows if not row.opens} == {"Price before tax", "Markup on cost"}
    assert all(row.how and row.how.sentence for row in rows if row.opens)


def test_what_has_a_piece_weight_is_counted_beside_its_mass(quote: Quote) -> None:
    Ingredient.objects.filter(base="g", grams_each__isnull=True).update(grams_each=Decimal(50))
    catalog_changed()
    shown = price_check_shown(checked(quote))
    assert any(re.search(r" g, about \d+ pieces", row.share) or " oz, about" in row.share for row in shown.ingredients)


def test_the_parts_of_the_bar_add_up_to_the_price_before_tax(quote: Quote) -> None:
    check = checked(quote)
    assert check.estimate is not None
    totals = check.estimate.totals
    assert [part.kind for part in check.parts][:4] == ["ingredients", "packaging", "labour", "overhead"]
    assert [part.kind for part in check.parts][-2:] == ["extras", "margin"]
    assert sum(part.amount for part in check.parts) == totals.revenue
    assert check.parts[-1].amount == totals.revenue - totals.cost
    assert next(part.amount for part in check.parts if part.kind == "extras") == pytest.approx(Decimal(18))
    for part in check.parts[:4]:
        assert sum(amount for _, amount in part.lines) == part.amount


def test_the_page_says_price_per_guest_and_margin_against_the_floor_before_anything_else(client: Client) -> None:
    kitchen_make()
    quote = draft_make()
    client.force_login(user_make())
    page = client.get(reverse("quote-price-check", args=[quote.pk])).content.decode()
    read = ("Total with tax", "Per guest", "Margin on products", "floor ", "<svg", ">What if<", 'id="products-head"')
    places = [page.index(words) for words in read]
    assert places == sorted(places)
    row = page[page.index('<details class="figure-row">') :].split("</details>")[0]
    assert "<summary>" in row
    assert '<dl class="inputs">' in row


def test_no_code_of_a_product_or_a_tax_is_shown_in_a_sum(quote: Quote) -> None:
    check = checked(quote)
    rows = opened([*price_check_shown(check).order, *price_check_shown(check).products])
    words = {words for row in rows if row.how for pair in row.how.inputs for words in pair}
    assert words.isdisjoint({line.estimated.product.code for line in check.lines})
    assert {line.estimated.product.name for line in check.lines} <= words


def test_a_sent_quote_is_explained_by_the_prices_it_was_sent_with(quote: Quote) -> None:
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    before = checked(quote)
    Pack.objects.update(price=Decimal(999))
    catalog_changed()
    after = checked(quote)
    assert after.as_sent
    assert before.estimate == after.estimate


@pytest.mark.parametrize("sent", [False, True])
def test_a_tax_is_called_as_on_the_quote(quote: Quote, sent: bool) -> None:
    Kitchen.objects.update(tax_name="VAT")
    TaxCategory.objects.update(name="Food, reduced rate")
    catalog_changed()
    if sent:
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
        Kitchen.objects.update(tax_name="Sales tax")
        TaxCategory.objects.update(name="Renamed since")
        catalog_changed()
    names = [row.name for row in price_check_shown(checked(quote)).order]
    assert any(name.startswith("VAT (Food, reduced rate), ") for name in names), names
