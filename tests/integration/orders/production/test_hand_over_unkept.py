"""A dessert of which nobody stated how it is kept is not an empty cell of the hand-over list."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe, RecipeStep
from tests.factories import EVENT, kitchen_make, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


def listed() -> str:
    return text(signed_in("kitchen").get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"))


def sent_unkept() -> None:
    """Send tarts with milk and egg in them that nothing cools and no text keeps, as the owner saw and left it."""
    kitchen_make()
    ProductStep.objects.all().delete()
    RecipeStep.objects.all().delete()
    Product.objects.update(holding="")
    catalog_changed()
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))


def test_it_says_that_nobody_stated_it() -> None:
    sent_unkept()
    page = listed()
    assert "How to keep it is not stated, and it holds" in page
    assert "Keep it cold; ask before it leaves." in page


def test_what_was_stated_by_now_is_not_asked() -> None:
    sent_unkept()
    Product.objects.update(holding="Keep at 41 °F or colder.")
    catalog_changed()
    assert "How to keep it is not stated" not in listed()


def test_what_is_kept_at_room_temperature_says_so_with_its_source() -> None:
    sent_unkept()
    Recipe.objects.update(shelf_stable=True, shelf_stable_source="Lab report 114, at most 8 h")
    catalog_changed()
    page = listed()
    assert "Room temperature, by Lab report 114, at most 8 h" in page
    assert "How to keep it is not stated" not in page
