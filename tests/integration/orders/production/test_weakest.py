"""A product's row says the weakest of what it stands on: no good news of its own beside a batch that is to be measured.

And what nobody has said is cold stands on the hand-over list too.
"""

import json
from decimal import Decimal
from fractions import Fraction
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from orders.orders.models import Order
from tests.factories import EVENT, NOW, line_make, table_make
from tests.integration.catalog.cooling.test_one_verdict import VERDICT
from tests.integration.catalog.cooling.test_one_verdict import custard as custard  # the fixture
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db

LIKELY = "Baked custard: likely meets the cooling rule, but not if it cools slowly. Measure it."
PERIOD = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}


@pytest.fixture
def order(custard: Recipe, monkeypatch: pytest.MonkeyPatch) -> Order:
    """An order of tarts that meet the rule, with a custard that only likely does."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    custard.steps.filter(name="Boil").update(depth_cm=Decimal("7"))
    room = Station.objects.get(code="cold-room")
    other = Station.objects.create(code="walk-in", name="Walk-in", kind=room.kind, air="fan", air_c=Decimal(3))
    custard.steps.filter(name="Set in the cold").update(station=other)
    Vessel.objects.filter(name="Tub").update(length_cm=12, width_cm=12, height_cm=8)
    catalog_changed()
    (cold,) = batch_colds([("custard", Fraction(1000))], book_current())
    assert [each.trial.verdict for each in cold.times] == ["likely"]
    return order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))


@pytest.mark.parametrize("name", ["sheet-cold", "sheet-prep"])
def test_a_row_has_no_good_news_beside_a_batch_that_is_likely_met_only(order: Order, name: str) -> None:
    html = signed_in("kitchen").get(reverse(name), PERIOD).content.decode()
    assert VERDICT not in html
    assert LIKELY in " ".join(html.split())


def test_nor_has_the_products_page(order: Order) -> None:
    tart = Product.objects.get(code="custard-tart")
    html = signed_in("owner").get(reverse("product-cooling", args=[tart.pk])).content.decode()
    assert 'class="note good"' not in html
    assert "By itself this cooling meets the rule; not all is settled." in html
    assert "Likely meets the rule, but not if it cools slowly." in html


@pytest.mark.parametrize("name", ["sheet-cold", "sheet-prep"])
def test_what_it_stands_on_meets_the_rule_and_so_does_the_row(custard: Recipe, name: str) -> None:
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    assert VERDICT in signed_in("kitchen").get(reverse(name), PERIOD).content.decode()


def test_a_step_that_nobody_has_said_is_cold_stands_on_the_hand_over_list(
    custard: Recipe, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    words, cook = "Nobody has said whether “Bring back up, pass through a sieve” is cold", signed_in("kitchen")
    assert words not in text(cook.get(reverse("sheet-handover"), PERIOD))
    RecipeStep.objects.create(recipe=custard, position=10, name="Bring back up, pass through a sieve", kind="mix")
    catalog_changed()
    assert words in text(cook.get(reverse("sheet-handover"), PERIOD))


def test_the_command_has_beside_its_verdict_what_is_open(order: Order) -> None:
    out = StringIO()
    call_command("cooling", "--product", "custard-tart", stdout=out)
    found = json.loads(out.getvalue())
    assert found["verdict"] == "kept"
    assert found["not_settled"] == ["Baked custard: Likely meets the rule, but not if it cools slowly."]
