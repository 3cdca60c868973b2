"""What nothing checks and nothing says how to keep stops like a broken rule: it had needed one tick."""

from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.products.models import Product, ProductStep
from orders.quotes.cooling.selectors import broken, not_judged
from tests.cooling_kitchen import cooling_kitchen_make

pytestmark = pytest.mark.django_db
UNITS = {"custard-tart": 24}


@pytest.fixture
def tart() -> Product:
    """A tart that is filled at room temperature, with no chill step and no word on how it is kept."""
    made = cooling_kitchen_make()
    made.steps.filter(kind__in=["chill", "rest", "bake"]).delete()
    ProductStep.objects.filter(product=made).update(leaves_c=Decimal(20))
    Product.objects.filter(pk=made.pk).update(holding="", keeps_hours=None)
    catalog_changed()
    return made


def stopped() -> list[str]:
    return [one.why for one in broken(UNITS, book_current())]


def test_without_a_chill_step_and_a_word_on_how_it_is_kept_it_stops(tart: Product) -> None:
    assert stopped() == ["no_cold_stage"]
    assert not_judged(UNITS, book_current()) == ()


def test_a_word_on_how_it_is_kept_lets_it_go(tart: Product) -> None:
    Product.objects.filter(pk=tart.pk).update(holding="Keep it in the refrigerator.")
    catalog_changed()
    assert stopped() == []
