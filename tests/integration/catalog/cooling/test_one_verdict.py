"""One verdict for a thing, the worst of its parts: nothing is good news beside what is open."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from orders.production.batch_presenters import batches_shown
from orders.production.batches import batch_rows
from orders.production.demand import demand
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, NOW, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def custard() -> Recipe:
    """A custard that is cold in time after its first heating."""
    custard = batch_kitchen_make(depth_cm=Decimal("1.5"), chill_min="1200")
    Station.objects.filter(code="cold-room").update(air="blast", air_c=Decimal(1))
    Vessel.objects.update(owned=9)
    ProductStep.objects.filter(name="Cool on the rack").update(minutes=10)
    catalog_changed()
    return custard


VERDICT = '<span class="soft">Meets the rule.</span>'
STEPS = [
    {"kind": "rest", "name": "Stand on the bench", "minutes": Decimal(1200)},
    {"kind": "cook", "name": "Rewarm over the stove"},
]


@pytest.mark.parametrize("step", STEPS)
def test_the_page_of_a_recipe_has_no_good_news_beside_what_is_open(custard: Recipe, step: dict[str, object]) -> None:
    address, client = reverse("recipe-cooling", args=[custard.pk]), signed_in("owner")
    page = client.get(address).content.decode()
    assert 'class="note good"' in page
    RecipeStep.objects.create(recipe=custard, position=10, **step)
    catalog_changed()
    page = client.get(address).content.decode()
    assert 'class="note good"' not in page
    assert "Meets the rule." not in page
    assert "By itself this cooling meets the rule; not all is settled." in page


def test_steps_that_count_as_cold_leave_no_good_news(custard: Recipe) -> None:
    client, tart = signed_in("owner"), Product.objects.get(code="custard-tart")
    RecipeStep.objects.create(recipe=custard, position=10, kind="mix", name="Mix with the flakes", minutes=1)
    catalog_changed()
    for address in (reverse("recipe-cooling", args=[custard.pk]), reverse("product-cooling", args=[tart.pk])):
        page = client.get(address).content.decode()
        assert "count as cold." in page
        assert "By itself this cooling meets the rule" in page
        assert 'class="note good"' not in page
        assert "Meets the rule." not in page


def test_nor_has_the_page_of_a_product(custard: Recipe) -> None:
    tart = Product.objects.get(code="custard-tart")
    address = reverse("product-cooling", args=[tart.pk])
    client = signed_in("owner")
    assert 'class="note good"' in client.get(address).content.decode()
    RecipeStep.objects.create(recipe=custard, position=10, **STEPS[0])
    catalog_changed()
    page = client.get(address).content.decode()
    assert 'class="note good"' not in page
    RecipeStep.objects.filter(position=10).delete()
    ProductStep.objects.create(product=tart, position=20, kind="rest", name="Stand", minutes=Decimal(1200))
    catalog_changed()
    assert 'class="note good"' not in client.get(address).content.decode()


def test_nor_has_a_sheet(custard: Recipe) -> None:
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    RecipeStep.objects.create(recipe=custard, position=10, **STEPS[1])
    catalog_changed()
    day = EVENT.date()
    (shown,) = batches_shown(batch_rows(demand(first=day, last=day, today=NOW.date()), at=NOW))
    (cooling,) = shown.cools
    assert cooling.verdict == "Not all of it is settled."
    assert cooling.marked
    assert batch_colds([("custard", Fraction(1000))], book_current())[0].missing is not None


def test_nor_has_a_row_of_the_cold_room_list_beside_an_open_batch(custard: Recipe) -> None:
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    address = f"{reverse('sheet-cold')}?first={EVENT.date()}&last={EVENT.date()}"
    client = signed_in("kitchen")
    assert VERDICT in client.get(address).content.decode()
    RecipeStep.objects.create(recipe=custard, position=10, **STEPS[1])
    catalog_changed()
    page = client.get(address).content.decode()
    assert "in it: " in page
    assert VERDICT not in page
