"""Packs are the same where their amount and unit are, however these are written."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.pantry.price_slips import price_in_force
from catalog.pantry.selectors import prices_of
from catalog.pantry.services import pack_before, pack_remove
from catalog.price_lists.imports import price_list_import, price_list_undo
from catalog.price_lists.models import PriceList
from tests.integration.catalog.kitchen_pages import text
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.catalog.price_lists.test_price_lists import AT, listed

pytestmark = pytest.mark.django_db
SPELLINGS = [("1/2 gallon", "½ gallon"), ("2.5 l", "2 ½ l"), ("2.5 kg", "2 1/2 kg")]
Stored = Callable[[str], Ingredient]


@pytest.fixture
def stored() -> Stored:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")

    def store(size: str) -> Ingredient:
        row = Ingredient.objects.create(code="cream", name="Heavy cream", density=Decimal("0.994"))
        seller = Supplier.objects.create(name="Quayside")
        price = {"price": Decimal("10.90"), "starts": date(2026, 1, 5), "supplier": seller, "preferred": True}
        Pack.objects.create(ingredient=row, size=size, **price)
        return row

    return store


def priced(owner: Client, row: Ingredient, size: str, price: str, **more: str) -> str:
    sent = {"size": size, "price": price, "supplier": "Quayside", "starts": "2026-03-02", **more}
    return text(owner.post(reverse("pack-add", args=[row.pk]), sent, follow=True))


@pytest.mark.parametrize(("before", "since"), SPELLINGS)
def test_a_new_price_ends_the_one_before(client: Client, stored: Stored, before: str, since: str) -> None:
    row = stored(before)
    page = priced(signed_in(client, "owner"), row, since, "18.90", preferred="on")
    assert "with no price before" not in page
    (current,) = prices_of(row, day=date(2026, 6, 1), cup="us").current
    assert (current.pack.price, current.pack.preferred) == (Decimal("18.90"), True)
    assert price_in_force(ingredient_id=row.pk, size=before, supplier="quayside", day=date(2026, 6, 1)) == Decimal(
        "18.90"
    )
    earlier = pack_before(current.pack)
    assert earlier is not None
    assert earlier.size == before
    assert pack_remove(pack_id=current.pack.pk) == earlier
    assert Pack.objects.get().ends is None


def test_a_price_of_the_same_day_is_replaced(client: Client, stored: Stored) -> None:
    row, owner = stored("1/2 gallon"), signed_in(client, "owner")
    priced(owner, row, "0.5 gallon", "12.90")
    priced(owner, row, "½ gallon", "13.90", instead="on")
    assert sorted(row.packs.values_list("price", flat=True)) == [Decimal("10.90"), Decimal("13.90")]


@pytest.mark.parametrize(("before", "since"), SPELLINGS)
def test_a_price_list_ends_it_too_and_undoing_opens_it(stored: Stored, before: str, since: str) -> None:
    row = stored(since)
    size = before.replace("1/2", "0.5")
    found = listed(f"Item;Pack;Price\nHeavy cream;{size};12.90\n")
    assert found.rows[0]["change"] == "dearer"
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    assert row.packs.get(ends=None).price == Decimal("12.90")
    price_list_undo(price_list_id=PriceList.objects.get().pk, by="odile", at=AT)
    assert (row.packs.get().price, row.packs.get().ends) == (Decimal("10.90"), None)
