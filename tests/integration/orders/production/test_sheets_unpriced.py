"""The kitchen's sheets while a price is wrong or missing: what is in the food, and whose it is not, needs no price."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.pantry.models import Ingredient
from catalog.price_rules.models import PriceRule
from catalog.rates.models import Station
from catalog.recipes.models import RecipeLine
from catalog.records.errors import CannotPrice
from orders.orders.models import Order
from tests import factories
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
SHEETS = ("sheet-prep", "sheet-recipes")


def ordered() -> Order:
    factories.kitchen_make()
    table = table_make(lines=(line_make("custard-tart", 24), line_make("walnut-cake", 1)), extras=())
    return order_make(table=table, allergies=("peanuts",))


def a_new_allergen() -> None:
    cream = Ingredient.objects.get(code="cream")
    Ingredient.objects.filter(pk=cream.pk).update(allergens=[*cream.allergens, "peanuts"])
    catalog_changed()


def price_wrong() -> None:
    Station.objects.filter(code="cold-room").update(hourly="-1")
    PriceRule.objects.all().delete()
    catalog_changed()
    with pytest.raises(CannotPrice):
        book_current()


@pytest.fixture
def kitchen(db: None) -> Client:
    return signed_in("kitchen")


def sheet(kitchen: Client, name: str, order: Order) -> str:
    day = order.window_start.date().isoformat()
    answer = kitchen.get(reverse(name), {"first": day, "last": day})
    assert answer.status_code == 200
    return text(answer)


@pytest.mark.parametrize("name", SHEETS)
def test_whose_the_food_is_not_stands_on_the_sheets_all_the_same(kitchen: Client, name: str) -> None:
    order = ordered()
    a_new_allergen()
    before = sheet(kitchen, name, order)
    price_wrong()
    now = sheet(kitchen, name, order)
    words = f"{order.number}, peanuts: contains peanuts"
    assert words in before
    assert words in now


def test_what_changed_since_it_was_sent_stands_on_order_hand_over_and_labels(kitchen: Client) -> None:
    order = ordered()
    a_new_allergen()
    price_wrong()
    assert "now contains peanuts" in text(kitchen.get(reverse("order", args=[order.pk])))
    assert "now contains peanuts" in sheet(kitchen, "sheet-handover", order)
    day = order.window_start.date().isoformat()
    labels = kitchen.get(reverse("sheet-labels"), {"first": day, "last": day}).content.decode()
    assert "now contains peanuts" in labels


@pytest.mark.parametrize("name", ["sheet-prep", "sheet-recipes", "sheet-oven", "sheet-cold"])
def test_other_orders_of_the_day_do_not_stop_a_sheet(kitchen: Client, name: str) -> None:
    cooling_kitchen_make()
    order = order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()), allergies=())
    order_make(table=table_make(lines=(line_make("quince-square", 24),), extras=()), allergies=())
    price_wrong()
    assert order.number in sheet(kitchen, name, order) or "Custard tart" in sheet(kitchen, name, order)


def test_batches_of_an_order_and_the_day_page_open(kitchen: Client) -> None:
    order = ordered()
    price_wrong()
    assert kitchen.get(reverse("order-batches", args=[order.pk])).status_code == 200
    assert kitchen.get(reverse("day")).status_code == 200


def test_the_shopping_list_still_asks_for_prices(kitchen: Client) -> None:
    order = ordered()
    price_wrong()
    day = order.window_start.date().isoformat()
    assert kitchen.get(reverse("sheet-shopping"), {"first": day, "last": day}).status_code == 422


def test_an_error_in_what_they_consist_of_stops_the_sheets(kitchen: Client) -> None:
    order = ordered()
    line = RecipeLine.objects.filter(recipe__code="custard").order_by("pk")[0]
    RecipeLine.objects.filter(pk=line.pk).update(amount="a handful")
    catalog_changed()
    day = order.window_start.date().isoformat()
    assert kitchen.get(reverse("sheet-prep"), {"first": day, "last": day}).status_code == 422
