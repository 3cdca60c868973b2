"""What something stands on while it cools is written as what is under it: air, or nothing that lets cold through."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.selectors import cold_times
from catalog.products.models import Product
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def test_a_tart_says_what_is_under_it_and_takes_longer_without_air_there() -> None:
    custard = batch_kitchen_make(profile={"diameter_cm": "12", "height_cm": "1.2", "air_c": "1"}, ice_bath=False)
    tart, owner = Product.objects.get(code=TART), signed_in("owner")
    times = []
    for base, words in (("open", "with cold air under it, uncovered"), ("board", "with no cold from below, uncovered")):
        Product.objects.filter(pk=tart.pk).update(stands_on=base)
        catalog_changed()
        assert words in text(owner.get(reverse("product-cooling", args=[tart.pk])))
        times.append(cold_times([TART], book_current())[TART].times[0].slow or 0)
    assert times[0] < times[1]
    page = text(owner.get(reverse("recipe-cooling", args=[custard.pk])))
    assert "A rack or a wire shelf, apart from others, with cold air under it." in page


def test_the_sheet_says_how_vessels_stand() -> None:
    custard = batch_kitchen_make(profile={"diameter_cm": "12", "height_cm": "1.2", "air_c": "1"}, ice_bath=False)
    custard.steps.filter(kind="cook").update(leaves_c=Decimal(60))
    catalog_changed()
    order_make(table=table_make(lines=(line_make(TART, 6),), extras=()))
    period = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
    assert "Stand vessels apart on a rack or a wire shelf" in text(
        signed_in("kitchen").get(reverse("sheet-cold"), period)
    )
