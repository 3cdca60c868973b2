"""A supplier's list of forty rows with five bad ones is imported, its bad rows corrected on the page, nothing lost."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.pantry.models import Ingredient, Pack
from tests import factories
from tests.browser.conftest import OpenPage, save_picture

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SignIn = Callable[[Page, User], None]
#: As a supplier sends it: titles above the heads, prices with signs, five rows that cannot be read as they are.
FILE = (
    "Quayside Foods\nPrices for week 48\n\nItem #,Description,Pack Size,Case Price\n"
    + "".join(f'{1000 + at},Granulated sugar,{at} lb,"${at}.50/cs"\n' for at in range(1, 36))
    + '2001,"Sugar granulate","9 x 10 lb","$39.50/cs"\n2002,Saffron threads,1 oz,48\n'
    + "2003,Granulated sugar,sack,20\n2004,Granulated sugar,44 lb,$0.62/lb\n2005,Granulated sugar,45 lb,call\n"
)


@pytest.mark.parametrize("width", [1280, 320])
def test_forty_rows_with_five_bad_ones(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, axe: Callable[[Page], list[str]], width: int
) -> None:
    factories.kitchen_make()
    page = open_page(width=width)
    sign_in(page, factories.user_make())
    page.goto(live_server.url + reverse("price-lists"))
    starts = timezone.localdate() + timedelta(days=1)
    page.get_by_label("Supplier", exact=True).fill("Quayside")
    page.get_by_label("In force from").fill(starts.isoformat())
    page.get_by_label("Price list", exact=True).set_input_files(
        {"name": "week48.csv", "mimeType": "text/csv", "buffer": FILE.encode()}
    )
    page.get_by_role("button", name="Upload price list").click()
    expect(page.get_by_text("The file is being read")).to_be_visible()
    assert outbox_run(row_id=Outbox.objects.get(kind="price_list").pk, at=timezone.now())
    page.reload()
    expect(page.get_by_role("heading", name="2 names to confirm")).to_be_visible()
    expect(page.get_by_role("heading", name="3 rows to correct")).to_be_visible()
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    save_picture(page, f"price-list-{width}")

    page.get_by_role("button", name="Import 35 prices").click()
    expect(page.get_by_text("35 prices are imported.")).to_be_visible()
    expect(page.get_by_role("heading", name="3 rows to correct")).to_be_visible()

    expect(page.get_by_label("Ingredient of row 40")).to_have_value("Granulated sugar")
    page.locator("input[name='same-40']").check()
    page.locator("input[name='add-41']").check()
    page.get_by_label("Pack of row 42").fill("80 lb")
    page.get_by_label("Price of row 43").fill("27.28")
    page.get_by_label("Price of row 44").fill("still on call")
    page.get_by_role("button", name="Save names and corrections").click()
    expect(page.get_by_role("heading", name="1 row to correct")).to_be_visible()
    expect(page.get_by_label("Price of row 44")).to_have_value("still on call")
    assert axe(page) == []
    page.get_by_label("Price of row 44").fill("31")
    page.get_by_role("button", name="Save corrections").click()
    expect(page.get_by_text("Saved. Every row can be imported.")).to_be_visible()
    page.get_by_role("button", name="Import 5 prices").click()
    expect(page.get_by_text("5 prices are imported. 1 ingredient is added.")).to_be_visible()
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert Pack.objects.filter(starts=starts).count() == 40
    assert Ingredient.objects.filter(name="Saffron threads").exists()
    assert not Ingredient.objects.filter(name="Sugar granulate").exists()
