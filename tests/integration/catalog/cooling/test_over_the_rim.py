"""What would stand over the rim of its mold is asked about and stops a quote: no body is computed that cannot be."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.mold_bodies import height_of
from catalog.cooling.selectors import cooled
from catalog.molds.models import Mold
from catalog.products.models import Product
from costing import contract as values
from costing.chilling import food_of
from orders.quotes.cooling.selectors import broken
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def asked() -> str:
    catalog_changed()
    missing = cooled([TART], book_current())[TART].missing
    return "" if missing is None else missing.reason.code


def test_a_height_entered_above_the_rim_is_asked_about() -> None:
    tart = cooling_kitchen_make(height_cm="2.2")
    assert asked() == ""
    Mold.objects.update(height_cm=Decimal("2.2"))
    assert asked() == ""
    Mold.objects.update(height_cm=Decimal("1.9"))
    assert asked() == "over_the_rim"
    page = text(signed_in("owner").get(reverse("product-cooling", args=[tart.pk])))
    assert "stands 0.9 in high in Tart ring, whose rim is at" in page
    (one,) = (one for one in broken({TART: 6}, book_current()) if one.item.kind == "product")
    assert one.why == "over_the_rim"


def test_amounts_that_do_not_go_into_the_mold_are_asked_about_whatever_height_is_entered() -> None:
    tart = cooling_kitchen_make(height_cm="2")
    Mold.objects.update(height_cm=Decimal("2.2"))
    assert asked() == ""
    for fill in tart.fills.all():
        amount, _, unit = fill.amount.partition(" ")
        fill.amount = f"{2 * float(amount):g} {unit}"
        fill.save()
    assert asked() == "over_the_rim"
    Product.objects.filter(pk=tart.pk).update(fill_height_cm=None)
    assert asked() == "over_the_rim"


def test_amounts_a_little_over_the_rim_are_remarked_on_and_nothing_is_green() -> None:
    tart = cooling_kitchen_make(height_cm="1.4", diameter_cm="12")
    assert asked() == ""
    product = cooled([TART], book_current())[TART].product
    full = height_of_amounts(product)
    Mold.objects.update(height_cm=Decimal(str(round(full / 1.05, 3))))
    Product.objects.filter(pk=tart.pk).update(fill_height_cm=Decimal(str(round(full / 1.06, 2))))
    assert asked() == ""
    page = signed_in("owner").get(reverse("product-cooling", args=[tart.pk]))
    assert "whose rim is at" in text(page)
    assert "note good" not in page.content.decode()


def height_of_amounts(product: values.Product) -> float:
    """How high the amounts stand in the mold [cm]."""
    book = book_current()
    whole = RecipeMixtures(book).portion(product.code)
    bare = replace(product, fill_height_cm=None)
    return height_of(bare, book.mold("Tart ring"), whole, food_of(whole.percent, whole.air))[0] / 10


def test_a_mold_without_a_height_asks_nothing() -> None:
    cooling_kitchen_make(height_cm="9")
    Mold.objects.update(height_cm=None)
    assert asked() == ""
