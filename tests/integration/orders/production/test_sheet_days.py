"""A sheet for more days than it can cover says where it ends; one without orders has a sentence of its own."""

import pytest
from django.urls import reverse

from tests.factories import kitchen_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("sheet", ["cold", "prep", "handover"])
def test_a_sheet_that_is_cut_says_so(sheet: str) -> None:
    kitchen_make()
    client, address = signed_in("kitchen"), reverse(f"sheet-{sheet}")
    whole = client.get(address, {"first": "2027-01-01", "last": "2027-12-31"}).content.decode()
    assert "A sheet covers at most 93 days: this one ends Saturday, April 3, 2027." in whole
    week = client.get(address, {"first": "2027-01-01", "last": "2027-01-07"}).content.decode()
    assert "A sheet covers" not in week
    assert "0 orders" not in week
