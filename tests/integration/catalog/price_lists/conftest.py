"""A kitchen with a few priced ingredients, and lists of its supplier."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.price_lists.models import PriceList
from catalog.price_lists.services import price_list_compare, price_list_upload

AT = datetime(2026, 11, 2, 9, tzinfo=UTC)
STARTS = date(2026, 11, 9)
Listed = Callable[..., PriceList]


@pytest.fixture
def listed(db: None) -> Listed:
    """Make the kitchen; return a function that uploads a list and has it read."""
    Kitchen.objects.create(pk=1, name="Tansy Row", email="kitchen@tansyrow.example")
    quayside = Supplier.objects.create(name="Quayside")
    flour = Ingredient.objects.create(code="flour", name="Flour", density=Decimal("0.53"), position=0)
    Ingredient.objects.create(code="cream", name="Heavy cream", density=Decimal("0.994"), position=1)
    Ingredient.objects.create(code="box", name="Cake box", base="each", position=2)
    Pack.objects.create(
        ingredient=flour, size="50 lb", price=Decimal("24.60"), starts=date(2026, 1, 1), supplier=quayside
    )

    def upload(text: str, name: str = "prices.csv") -> PriceList:
        made = price_list_upload(
            supplier="Quayside", file_name=name, body=text.encode(), starts=STARTS, by="odile", at=AT
        )
        price_list_compare(price_list_id=made.pk)
        return PriceList.objects.get(pk=made.pk)

    return upload
