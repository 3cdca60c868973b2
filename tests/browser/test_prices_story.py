"""The owner records and corrects a price in two clicks each, and reads what it does to the open quotes."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page, expect

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Pack
from tests import factories
from tests.browser.conftest import OpenPage, save_picture

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SignIn = Callable[[Page, User], None]


@pytest.mark.parametrize("width", [1280, 320])
def test_a_price_is_two_clicks_and_says_what_it_does(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, axe: Callable[[Page], list[str]], width: int
) -> None:
    factories.kitchen_make()
    quote = factories.sent_make()
    fill = quote.lines.order_by("pk")[0].product.fills.order_by("pk")[0]
    ingredient = fill.recipe.lines.filter(ingredient__isnull=False).order_by("pk")[0].ingredient
    pack = Pack.objects.filter(ingredient=ingredient).order_by("pk")[0]
    Pack.objects.filter(ingredient=ingredient).exclude(pk=pack.pk).delete()
    # Whatever costs more brings the quote below the floor; a price of three times as much would be asked about.
    Kitchen.objects.update(floor_margin=quote.goods_margin - Decimal("0.0001"))
    catalog_changed()
    raised, corrected = pack.price * 2, pack.price + 1
    page = open_page(width=width)
    sign_in(page, factories.user_make())
    page.goto(live_server.url + reverse("ingredient", args=[ingredient.pk]))
    page.get_by_role("link", name="New price").first.click()
    price = page.get_by_label("Price, USD")
    expect(price).to_be_focused()
    price.fill(f"{raised:.2f}")
    page.get_by_role("button", name="Record price").click()
    expect(page.get_by_role("heading", name="Effect on open quotes")).to_be_in_viewport()
    expect(page.get_by_text("Now below floor")).to_be_visible()
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    save_picture(page, f"prices-{width}")
    page.get_by_role("link", name="Correct").first.click()
    expect(price).to_be_focused()
    assert axe(page) == []
    price.fill(f"{corrected:.2f}")
    page.get_by_role("button", name="Save price").click()
    expect(page.get_by_text(f"${raised:,.2f} before")).to_be_visible()
    assert sorted(Pack.objects.filter(ingredient=ingredient, size=pack.size).values_list("price", flat=True))[-1] == (
        corrected
    )
