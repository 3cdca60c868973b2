"""What may be held out of the cold is judged at its longest hold, and counts as time out of the cold."""

from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from orders.quotes.cooling.selectors import broken
from tests.integration.catalog.cooling.test_one_verdict import custard
from tests.integration.catalog.cooling.test_time_used import CHILL, FILL, TART, stood_make, why

pytestmark = pytest.mark.django_db
__all__ = ["custard"]


def whys() -> list[str]:
    return [one.why for one in broken({TART: 24}, book_current())]


@pytest.mark.usefixtures("custard")
@pytest.mark.parametrize(("hold", "stops"), [(None, False), (5, False), (360, True)])
def test_a_hold_between_the_heat_and_the_cold_is_judged(hold: int | None, *, stops: bool) -> None:
    book_steps = ProductStep.objects.filter(product__code=TART, name="Bake")
    book_steps.update(hold_max=hold)
    catalog_changed()
    assert whys() == (["held_too_long"] if stops else [])


@pytest.mark.parametrize(("hold", "stops"), [(5, False), (360, True)])
def test_so_it_is_of_a_batch(custard: object, hold: int, *, stops: bool) -> None:
    custard.steps.filter(name="Boil").update(hold_max=hold)  # type: ignore[attr-defined]
    catalog_changed()
    assert whys() == (["held_too_long"] if stops else [])


def test_a_hold_after_a_step_at_no_station_is_time_out_of_the_cold() -> None:
    tart = stood_make(FILL, CHILL, ("pack", "Pack", "15"))
    tart.steps.filter(name="Pack").update(hold_max=Decimal(600))
    catalog_changed()
    assert why() == ["time_out_used"]
    (one,) = broken({TART: 24}, book_current())
    assert one.missing is not None
    assert one.missing.reason.params["steps"] == ["Fill", "Pack"]
    tart.steps.filter(name="Pack").update(station=Station.objects.get(code="cold-room"))
    catalog_changed()
    assert why() == []
    assert Product.objects.get(code=TART) == tart
