"""An answer that a step is cold holds for the step as it was: one that changed is open wherever its order stands."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe, RecipeStep
from orders.cooling_log.unsafe import numbers_unsafe, orders_unsafe
from orders.orders.models import Order
from orders.quotes.cooling.never_hot import unanswered_steps
from orders.quotes.draft.dessert_table import DessertTable
from tests.factories import BY, EVENT, NOW, draft_make, line_make, table_make
from tests.integration.catalog.cooling.test_one_verdict import custard as custard  # the fixture
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db

OPEN = "Nobody has said whether “Second round, as before: twice” is cold"


def table() -> DessertTable:
    return table_make(lines=(line_make("custard-tart", 24),), extras=())


@pytest.fixture
def order(custard: Recipe, monkeypatch: pytest.MonkeyPatch) -> Order:
    """An order with a second step of its custard that was answered as cold."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    step_add(custard)
    return order_make(table=table())


def step_add(custard: Recipe) -> None:
    RecipeStep.objects.create(recipe=custard, position=10, name="Bring back up, pass through a sieve", kind="mix")
    catalog_changed()


def edited() -> None:
    RecipeStep.objects.filter(position=10).update(name="Second round, as before", text="twice")
    catalog_changed()


def sheet(name: str) -> str:
    return f"{reverse(name)}?first={EVENT.date()}&last={EVENT.date()}"


def pages(order: Order) -> list[str]:
    own = [reverse("order", args=[order.pk]), reverse("order-batches", args=[order.pk])]
    return [*own, reverse("quote-cooling", args=[order.quote_id]), sheet("sheet-prep"), sheet("sheet-cold")]


def test_nothing_is_open_while_the_step_is_as_it_was(order: Order) -> None:
    owner = signed_in("owner")
    assert not any("Nobody has said whether" in text(owner.get(page)) for page in pages(order))
    assert orders_unsafe() == []


def test_a_step_that_was_edited_is_open_on_every_page(order: Order) -> None:
    edited()
    owner = signed_in("owner")
    shown = [text(owner.get(page)) for page in pages(order)]
    assert [OPEN in page for page in shown] == [True] * len(shown)
    assert "Nothing on this quote breaks the cooling rule" not in shown[2]
    assert "Meets the rule." not in shown[1]
    assert "Not all of it is settled." in shown[1]


def test_it_is_on_the_day_page_and_named_where_the_recipe_is_saved(order: Order) -> None:
    edited()
    assert numbers_unsafe("recipe", "custard") == [order.number]
    assert orders_unsafe() == [order]
    assert order.title in text(signed_in("owner").get(reverse("day")))


def test_a_near_order_has_it_beside_its_hour(order: Order, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT.replace(hour=6))
    edited()
    assert OPEN in text(signed_in("kitchen").get(reverse("day")))


def test_an_answer_holds_for_the_place_of_its_step(custard: Recipe) -> None:
    step_add(custard)
    quote_send_seen(quote_id=draft_make(at=NOW, table=table()).pk, by=BY, at=NOW)
    assert unanswered_steps(["custard-tart"], book_current()) == []
    RecipeStep.objects.create(recipe=custard, position=9, name="Mix", kind="mix")
    catalog_changed()
    assert [step for _, step in unanswered_steps(["custard-tart"], book_current())] == [
        "Bring back up, pass through a sieve"
    ]


def test_a_products_own_step_is_open_too(order: Order) -> None:
    tart = Product.objects.get(code="custard-tart")
    ProductStep.objects.create(product=tart, position=20, name="Flash", kind="finish")
    catalog_changed()
    page = text(signed_in("owner").get(reverse("order", args=[order.pk])))
    assert "Nobody has said whether “Flash” is cold" in page
    assert numbers_unsafe("product", "custard-tart") == [order.number]


@pytest.mark.parametrize("name", ["sheet-prep", "sheet-cold"])
def test_a_product_has_no_good_news_beside_a_step_that_is_open(order: Order, name: str) -> None:
    kitchen, verdict = signed_in("kitchen"), '<span class="soft">Meets the rule.</span>'
    assert verdict in kitchen.get(sheet(name)).content.decode()
    edited()
    assert verdict not in kitchen.get(sheet(name)).content.decode()
