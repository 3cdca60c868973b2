"""What is safe at room temperature has no limit to keep: no verdict stands beside it on one list."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.cooling.selectors import cold_times, cooled
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import cooling_marks
from orders.orders.models import Order
from orders.quotes.cooling.selectors import broken
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import EVENT
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def tick(*codes: str) -> None:
    rows = Recipe.objects.filter(code__in=codes) if codes else Recipe.objects.all()
    rows.update(shelf_stable=True, shelf_stable_source="Water activity 0.61, report 7")
    catalog_changed()


def test_a_batch_that_is_room_safe_is_not_judged_although_a_step_says_how_warm_it_leaves() -> None:
    batch_kitchen_make(depth_cm=Decimal(5))
    assert [one.name for one in broken({TART: 24}, book_current())] == ["Baked custard"]
    tick("custard")
    assert batch_colds([("custard", Fraction(2400))], book_current()) == []
    assert broken({TART: 24}, book_current()) == ()


def test_a_product_of_room_safe_parts_is_not_judged() -> None:
    cooling_kitchen_make(**DEEP)
    assert [one.name for one in broken({TART: 4}, book_current())] == ["Custard tart, 10 cm"]
    tick()
    assert cooled([TART], book_current())[TART].cycles == ()
    assert TART not in cold_times([TART], book_current())
    assert broken({TART: 4}, book_current()) == ()


def test_one_that_takes_in_something_else_while_it_cools_is() -> None:
    cooling_kitchen_make(**DEEP)
    tick("paste")
    assert [one.name for one in broken({TART: 4}, book_current())] == ["Custard tart, 10 cm"]


def test_the_first_bake_of_a_room_safe_shell_is_not_judged_and_what_is_put_in_later_is() -> None:
    tart = cooling_kitchen_make(**DEEP)
    station = tart.steps.get(kind="chill").station
    tart.steps.filter(kind="bake").update(takes=["paste"])
    tart.steps.create(position=20, name="Bake again", kind="bake", leaves_c=Decimal(80), takes=["custard"])
    tart.steps.create(position=21, name="Set", kind="chill", minutes=600, station=station)
    tick("paste")
    assert [str(one.after) for one in cooled([TART], book_current())[TART].cycles] == ["Bake again"]


def test_a_mark_of_what_was_sent_asks_which_of_both_is_right() -> None:
    cooling_kitchen_make(**DEEP)
    order_make()
    order = Order.objects.prefetch_related("lines__product").latest("pk")
    tick()
    marks = [mark for mark in cooling_marks([order])[order.pk].values() if mark.name == "Custard tart, 10 cm"]
    assert ["Which is right?" in mark_shown(mark).sentence for mark in marks] == [True]
    page = text(signed_in("kitchen").get(f"{reverse('sheet-prep')}?first={EVENT.date()}&last={EVENT.date()}"))
    assert "Not cold in time by its steps" not in page
    assert "Not cold in time, or not stated, by the steps its quote was sent with" not in page
    assert Product.objects.filter(code=TART).exists()
