"""The cooling page without its figures: what is missing, what is not asked; the way to it, and its queries."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.cooling.caution_presenters import cautions_shown
from catalog.cooling.presenters import cooling_page
from catalog.cooling.reports import cooling_report
from catalog.molds.models import Mold
from catalog.products.models import Fill, Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Step
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.cooling.test_cooling_page import CAKE, changed, page
from tests.integration.catalog.recipes.test_recipes import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    """Sign the owner in; the kitchen comes with each test."""
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


class TestWhatIsMissing:
    @pytest.mark.parametrize(
        ("model", "where", "columns", "sentence"),
        [
            (Product, {"code": "custard-tart"}, {"mold": None}, "Choose what Custard tart, 10 cm is made in"),
            (Mold, {}, {"diameter_cm": None}, "Enter the inside measures of Tart ring."),
            (Station, {"code": "cold-room"}, {"air_c": None}, "Enter the air temperature of cold-room."),
            (
                ProductStep,
                {"kind": Step.Kind.CHILL},
                {"station": None},
                "Choose the refrigerator for “Set in the cold”.",
            ),
            (ProductStep, {"kind": Step.Kind.CHILL}, {"kind": Step.Kind.WORK}, "No chill step follows “Bake”."),
        ],
    )
    def test_it_is_named_with_the_way_to_it(
        self, owner: Client, model: type, where: dict[str, Any], columns: dict[str, Any], sentence: str
    ) -> None:
        tart = cooling_kitchen_make()
        changed(model, where=where, **columns)
        response = owner.get(reverse("product-cooling", args=[tart.pk]))
        shown = page_text(response)
        assert sentence in shown
        missing = cooling_page(cooling_report(tart, 1)).missing
        assert missing is not None
        assert f'href="{missing.url}"' in response.content.decode()
        assert all(caution in shown for caution in cautions_shown())

    def test_what_asks_for_no_cooling_says_how_to_ask(self, owner: Client) -> None:
        tart = cooling_kitchen_make()
        changed(ProductStep, leaves_c=None)
        changed(ProductStep, where={"kind": "bake"}, kind="finish", name="Finish", temperature_c=None, station=None)
        shown = page(owner, tart)
        assert "No cooling is stated. None of its steps states how warm it is at the end." in shown

    def test_no_step_is_said_to_state_none_where_one_does(self, owner: Client) -> None:
        custard = batch_kitchen_make(leaves_c=Decimal(80), vessel=None, hold_max=Decimal(45))
        custard.steps.exclude(name="Boil").delete()
        catalog_changed()
        shown = page_text(owner.get(reverse("recipe-cooling", args=[custard.pk])))
        assert "“Boil” (176 °F) states how warm it is at the end, and it is used warm" in shown
        assert "None of its steps states how warm it is" not in shown

    def test_a_catalog_that_cannot_be_priced_is_reported(self, owner: Client) -> None:
        tart = cooling_kitchen_make()
        changed(Fill, where={"product": tart}, amount="1 furlong")
        assert "Cooling cannot be worked out. The catalog has an error that stops every price" in page(owner, tart)

    def test_a_product_that_is_not_there_is_not_found(self, owner: Client) -> None:
        cooling_kitchen_make()
        assert owner.get(reverse("product-cooling", args=[999_999])).status_code == 404


class TestTheProductsPage:
    def test_it_leads_here_and_says_what_is_counted(self, owner: Client) -> None:
        tart = cooling_kitchen_make()
        response = owner.get(reverse("product", args=[tart.pk]))
        assert reverse("product-cooling", args=[tart.pk]) in response.content.decode()
        assert "Cooling can make its stay in the cold longer" in page_text(response)
        changed(ProductStep, leaves_c=None)
        shown = page_text(owner.get(reverse("product", args=[tart.pk])))
        assert "Cooling can make its stay in the cold longer" not in shown
        assert "An oven may be taken: an order’s plan counts that." in shown


def queries_of(client: Client, product: Product) -> int:
    """Count the queries of the page once the Book is known."""
    address = reverse("product-cooling", args=[product.pk])
    client.get(address)
    with CaptureQueriesContext(connection) as found:
        assert client.get(address).status_code == 200
    return len(found)


def test_queries_do_not_grow_with_what_is_in_it(owner: Client) -> None:
    cake = cooling_kitchen_make(**CAKE)
    few = queries_of(owner, cake)
    for number in range(8):
        Mold.objects.create(name=f"Ring {number}", diameter_cm=Decimal(10 + number), height_cm=Decimal(5))
    last = cake.steps.last()
    assert last is not None
    again = {"product": cake, "kind": Step.Kind.CHILL, "station": Station.objects.get(code="cold-room")}
    ProductStep.objects.filter(pk=last.pk).update(minutes=Decimal(2 * 24 * 60))
    ProductStep.objects.create(position=90, name="Glaze", leaves_c=Decimal(20), kind="work", product=cake)
    for number in range(3):
        ProductStep.objects.create(position=91 + number, minutes=Decimal(60), **again)
    catalog_changed()
    assert len(cooling_report(cake, 1).cycles) == 2
    assert queries_of(owner, cake) == few
