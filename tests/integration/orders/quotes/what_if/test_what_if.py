"""Another margin, discount or quantities are compared with the draft as it stands, and saved only when asked."""

import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.what_if.selectors import Comparison, WhatIf, draft_now, what_if
from tests import factories
from tests.factories import NOW

pytestmark = pytest.mark.django_db


def tried(quote: Quote, change: WhatIf) -> Comparison:
    full, day = quotes_with_rows().get(pk=quote.pk), NOW.date()
    return what_if(full, change, before=draft_now(full, day=day), day=day)


def test_a_margin_tried_becomes_prices_by_hand_that_reach_it(quote: Quote) -> None:
    compared = tried(quote, WhatIf(margin=Decimal("0.7")))
    for was, line in compared.rows:
        assert line.line.basis == "given"
        assert line.line.margin is not None
        assert was is not None
        assert line.line.margin >= Decimal("0.7")
        assert line.line.unit_price > was.line.unit_price
        assert (line.line.unit_price * 4).denominator == 1
    assert quotes_with_rows().get(pk=quote.pk).lines.all()[0].unit_price_minor is None


def test_quantities_tried_leave_the_other_lines_as_they_are(quote: Quote) -> None:
    compared = tried(quote, WhatIf(units={"rice-glass": 96, "walnut-cake": 2}, discount=Decimal("0.05")))
    units = {line.product.code: line.line.units for line in compared.after.lines}
    assert units == {"custard-tart": 78, "rice-glass": 96, "quince-square": 60, "walnut-cake": 2}
    assert compared.after.estimate is not None
    assert compared.after.estimate.totals.discount > 0


def test_a_margin_tried_is_reached_where_prices_have_tax_in_them() -> None:
    factories.kitchen_make()
    Kitchen.objects.update(prices="gross")
    catalog_changed()
    compared = tried(factories.draft_make(), WhatIf(margin=Decimal("0.6")))
    for line in compared.after.lines:
        assert line.line.margin is not None
        assert Decimal("0.6") <= line.line.margin < Decimal("0.68")
        assert line.line.net < line.line.amount


def page_of(quote: Quote) -> str:
    return reverse("quote-price-check", args=[quote.pk])


def rows_of(text: str) -> dict[str, tuple[str, str]]:
    """Return the figures of the outcome: name to (now, with changes)."""
    table = text[text.index('id="outcome"') :].split("</table>")[0]
    found = re.findall(r'<th scope="row">(.*?)</th><td[^>]*>(.*?)</td><td[^>]*>(.*?)</td>', table)
    return {re.sub("<.*", "", name).strip(): (now, re.sub("<.*?>", "", new)) for name, now, new in found}


def field(text: str, name: str) -> str:
    found = re.search(rf'<input[^>]*name="{name}"[^>]*>', text)
    assert found
    value = re.search(r'value="([^"]*)"', found[0])
    return value[1] if value else ""


def test_the_figures_as_they_are_stand_there_before_anything_is_tried(owner: Client, quote: Quote) -> None:
    page = owner.get(page_of(quote))
    text = page.content.decode()
    totals = page.context["check"].estimate.totals
    for line in quote.lines.all():
        assert field(text, f"units-{line.product_id}") == str(line.units)
    assert field(text, "discount") == "0"
    assert abs(Decimal(field(text, "margin")) / 100 - Decimal(float(totals.goods_margin))) < Decimal("0.001")
    assert {new for _, new in rows_of(text).values()} == {"–"}
    assert all(now not in ("", "–") for now, _ in rows_of(text).values())
    assert "Save these changes" not in text


def test_the_figures_as_they_are_change_nothing_when_they_are_sent(owner: Client, quote: Quote) -> None:
    text = owner.get(page_of(quote)).content.decode()
    names = ["margin", "discount", *(f"units-{line.product_id}" for line in quote.lines.all())]
    again = owner.get(page_of(quote), {name: field(text, name) for name in names})
    assert not again.context["outcome"].tried


def test_trying_shows_the_new_figures_beside_the_present_ones_and_saves_nothing(owner: Client, quote: Quote) -> None:
    before = Quote.objects.values().get(pk=quote.pk)
    text = owner.get(page_of(quote), {"discount": "60"}).content.decode()
    now, new = rows_of(text)["Margin on products"]
    assert now != new
    assert "Below the floor margin." in text
    assert "Save these changes" in text
    assert Quote.objects.values().get(pk=quote.pk) == before
    live = owner.get(page_of(quote), {"discount": "60"}, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in live
    assert rows_of(live) == rows_of(text)
    assert 'id="changes" hx-swap-oob="true"' in live


def test_what_was_tried_is_saved_when_asked(owner: Client, quote: Quote) -> None:
    line = quote.lines.get(product__code="rice-glass")
    asked = {"discount": "5", f"units-{line.product_id}": "96"}
    page = owner.get(page_of(quote), asked)
    assert page.context["to_save"] == asked
    saved = owner.post(
        reverse("quote-what-if", args=[quote.pk]), {**page.context["to_save"], "version": page.context["version"]}
    )
    assert saved["Location"] == page_of(quote)
    assert Quote.objects.get(pk=quote.pk).discount == Decimal("0.05")
    assert quote.lines.get(product__code="rice-glass").units == 96
    assert quote.lines.get(product__code="custard-tart").unit_price_minor is None


@pytest.mark.parametrize("version", [None, "another"])
def test_a_quote_changed_meanwhile_is_not_overwritten(owner: Client, quote: Quote, version: str | None) -> None:
    sent = {"discount": "5"} | ({"version": version} if version else {})
    answer = owner.post(reverse("quote-what-if", args=[quote.pk]), sent)
    assert answer["Location"] == f"{page_of(quote)}?discount=5#what-if"
    assert "Not saved: the quote was changed elsewhere." in owner.get(answer["Location"]).content.decode()
    assert Quote.objects.get(pk=quote.pk).discount == 0


def test_the_address_it_once_had_leads_to_the_page(owner: Client, quote: Quote) -> None:
    assert owner.get(reverse("quote-what-if", args=[quote.pk]))["Location"] == page_of(quote)


def test_a_wrong_figure_is_named_at_its_field(owner: Client, quote: Quote) -> None:
    line = quote.lines.get(product__code="rice-glass")
    text = owner.get(page_of(quote), {f"units-{line.product_id}": "100"}).content.decode()
    assert "Enter 96 or 108" in text
    assert field(text, "discount") == "0"
    assert "Save these changes" not in text


def test_a_margin_that_the_price_step_makes_higher_is_explained(owner: Client, quote: Quote) -> None:
    page = owner.get(f"{page_of(quote)}?margin=60").content.decode()
    found = re.search(r"Prices are rounded up to the next \$0\.25: so 60% becomes (6\d\.\d)%\.", page)
    assert found is not None
    assert f"{found.group(1)}%" in page.replace(found.group(0), "")
    assert "Prices are rounded up" not in owner.get(page_of(quote)).content.decode()
