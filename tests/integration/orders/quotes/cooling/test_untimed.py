"""A rule without times: how long a hot batch takes is named at review and on the sheets, without a green word."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.products.models import Product
from orders.quotes.cooling.untimed import untimed
from orders.quotes.models import Quote
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import EVENT, draft_make, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
FRANCE = "63 to 10 °C within 2 hours, as France asks of its canteens. Source: arrêté of 21 December 2009, Annex IV."
COOK_CHILL = "70 to 3 °C within 90 minutes. Source: UK cook-chill guideline, for a layer of 50 mm, as quoted."


def page(role: str | Client, address: str, **query: str) -> str:
    client = signed_in(role) if isinstance(role, str) else role
    return " ".join(client.get(address, query).content.decode().split())


@pytest.mark.parametrize("rules", ["eu", "uk-en", "uk-sc"])
def test_review_names_how_long_it_takes_in_the_caution_colour_and_nothing_is_green(rules: str) -> None:
    batch_kitchen_make(profile={"height_cm": "1.2", "food_safety": rules, "degrees": "C"})
    quote: Quote = draft_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    found = page("owner", reverse("inquiry", args=[quote.inquiry_id]))
    warnings = found.partition('<section class="issues mind"')[2].partition("</section>")[0]
    assert "<strong>Cooling.</strong> Baked custard: cools in " in warnings
    assert "?amount=" in warnings
    source = FRANCE if rules == "eu" else COOK_CHILL
    assert f"your rule states no times. Guidance, no limit: {source}" in found
    assert "good time" not in found
    assert "The window can be kept" not in found


def test_sheets_name_it_and_have_no_footnote_about_a_time_there_is_not() -> None:
    batch_kitchen_make(profile={"height_cm": "1.2", "food_safety": "eu", "degrees": "C"})
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    day = EVENT.date().isoformat()
    found = page("kitchen", reverse("sheet-prep"), first=day, last=day)
    assert "longer than guidance asks for. Divide it, or cool it faster." in found
    assert found.count(f"Your rule states no times for cooling. Guidance, no limit: {FRANCE}") == 1
    assert "Throw away what is not cold in time" not in found


def product_kitchen(rules: str) -> None:
    """Let only the tart itself cool, hot out of the oven: nothing is a batch."""
    cooling_kitchen_make(food_safety=rules, degrees="C", diameter_cm="25", height_cm="7.5", leaves_c="68")


@pytest.mark.parametrize("rules", ["eu", "uk-en"])
def test_a_product_is_named_at_review_and_on_the_sheets_as_a_batch_is(rules: str) -> None:
    product_kitchen(rules)
    table = table_make(lines=(line_make("custard-tart", 24),), extras=())
    quote: Quote = draft_make(table=table)
    owner, cook = signed_in("owner"), signed_in("kitchen")
    found = page(owner, reverse("inquiry", args=[quote.inquiry_id]))
    assert "Custard tart, 10 cm: cools in " in found
    assert "note good" not in found
    assert "Custard tart, 10 cm: cools in " in page(owner, reverse("quote-send", args=[quote.pk]))
    order_make(table=table)
    day = EVENT.date().isoformat()
    for name in ("sheet-cold", "sheet-prep"):
        sheet = page(cook, reverse(name), first=day, last=day)
        assert "Cools in " in sheet, name
        assert "longer than guidance asks for. Divide it, or cool it faster." in sheet, name
        assert sheet.count("Your rule states no times for cooling.") == 1, name


def test_a_product_that_is_not_cooked_is_not_named() -> None:
    cooling_kitchen_make(food_safety="eu", degrees="C", leaves_c="15")
    Product.objects.get(code="custard-tart").steps.filter(name="Bake").update(
        kind="fill", temperature_c=None, station=None
    )
    catalog_changed()
    assert untimed({"custard-tart": 24}, book_current()) == ()


def test_where_the_rule_has_times_the_footnote_stands() -> None:
    batch_kitchen_make(profile={"height_cm": "1.2"})
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    day = EVENT.date().isoformat()
    assert "Throw away what is not cold in time" in page("kitchen", reverse("sheet-prep"), first=day, last=day)


@pytest.mark.parametrize("kitchen", [product_kitchen, lambda rules: batch_kitchen_make(profile=batch(rules))])
def test_day_order_and_hand_over_carry_the_mark(
    kitchen: Callable[[str], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    kitchen("eu")
    order = order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT)
    owner, day = signed_in("owner"), EVENT.date().isoformat()
    words = ": slow to cool, longer than guidance asks for."
    for address in (reverse("day"), reverse("order", args=[order.pk])):
        assert words in page(owner, address), address
    assert words in page(owner, reverse("sheet-handover"), first=day, last=day)


def batch(rules: str) -> dict[str, str]:
    return {"height_cm": "1.2", "food_safety": rules, "degrees": "C"}
