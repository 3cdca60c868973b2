"""A price far from the one before is asked about once; a second price of a day can take the place of the first."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack
from tests.integration.catalog.pantry.test_ingredients import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def pack() -> Pack:
    Kitchen.objects.create(pk=1, name="Tansy Row", email="kitchen@tansyrow.example")
    nibs = Ingredient.objects.create(code="nibs", name="Cocoa nibs", position=0)
    return Pack.objects.create(ingredient=nibs, size="5 lb", price=Decimal("5.90"), starts=date(2026, 1, 5))


def test_a_correction_to_ten_times_the_price_has_to_be_checked_as_right(client: Client, pack: Pack) -> None:
    owner, address = signed_in(client, "owner"), reverse("pack", args=[pack.pk])
    version = owner.get(address).context["edit"].version
    sent = {"price": "59.00", "do": "correct", "version": version}
    answer = owner.post(address, sent)
    assert answer.status_code == 422
    assert "$59.00 instead of $5.90: is that right?" in answer.content.decode()
    assert 'name="sure"' in answer.content.decode()
    assert owner.post(address, sent | {"sure": "on"}).status_code == 302
    assert Pack.objects.get().price == Decimal(59)


def test_a_new_price_ten_times_the_last_has_to_be_checked_as_right(client: Client, pack: Pack) -> None:
    owner, address = signed_in(client, "owner"), reverse("pack-add", args=[pack.ingredient_id])
    sent = {"size": "5 lb", "price": "59", "supplier": "", "starts": "2026-03-02"}
    answer = owner.post(address, sent)
    assert "$59.00 instead of $5.90: is that right?" in answer.content.decode()
    assert owner.post(address, sent | {"price": "6.40"}).status_code == 302
    assert Pack.objects.count() == 2


def test_a_second_price_of_a_day_replaces_the_first_where_that_is_chosen(client: Client, pack: Pack) -> None:
    owner, address = signed_in(client, "owner"), reverse("pack-add", args=[pack.ingredient_id])
    sent = {"size": "5 lb", "price": "6.20", "supplier": "", "starts": "2026-01-05"}
    assert "Replace the price of that day" not in owner.post(address, sent | {"price": "no"}).content.decode()
    assert "Replace the price of that day" in owner.post(address, sent).content.decode()
    assert owner.post(address, sent | {"instead": "on"}).status_code == 302
    assert [one.price for one in Pack.objects.all()] == [Decimal("6.20")]
