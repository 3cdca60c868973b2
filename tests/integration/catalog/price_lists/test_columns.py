"""Which column is what is chosen on the list's page, and remembered for the supplier."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.outbox.services import outbox_sweep
from catalog.pantry.models import Supplier
from catalog.price_lists.models import PriceList
from catalog.price_lists.services import price_list_choose, price_list_compare, price_list_file_delete
from catalog.records.errors import PriceListNotReady
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.catalog.price_lists.conftest import AT, Listed
from tests.refusals import refused

ODD = "Spring\nWhat,Region,How much,For\nFlour,North,50 lb,26.10\nHeavy cream,North,12/1 qt,$39.50/cs\n"
PLACES = {"item": 0, "pack": 2, "price": 3}


def test_a_list_as_a_supplier_sends_it_is_read_without_choosing(listed: Listed, client: Client) -> None:
    found = listed('Quayside\n\nItem #,Description,Pack Size,Case Price\nDAIRY\n7,"Cream, heavy",12/1 qt,$39.50/cs\n')
    assert [error["reason"]["code"] for error in found.errors] == ["likely_item"]
    page = signed_in(client, "owner").get(reverse("price-list", args=[found.pk])).content.decode()
    assert "item: column B (Description); pack: column C (Pack Size); price: column D (Case Price)" in page
    assert "1 row without pack and price is left out." in page
    assert re.search(r'name="same-5" checked> <span>Cream, heavy .*? value="Heavy cream"', page, re.DOTALL)


def test_columns_are_chosen_on_the_page_and_remembered(listed: Listed, client: Client) -> None:
    found = listed(ODD)
    assert found.status == "unreadable"
    owner = signed_in(client, "owner")
    address = reverse("price-list", args=[found.pk])
    page = owner.get(address).content.decode()
    assert "No row names the columns" in page
    assert "A: What, Flour" in page
    sent = {"step": found.step, "item": "0", "pack": "2", "size": "", "price": "3"}
    assert owner.post(reverse("price-list-columns", args=[found.pk]), sent)["Location"] == address
    assert "The file is being read" in owner.get(address).content.decode()
    outbox_sweep(at=AT + timedelta(days=400))
    found.refresh_from_db()
    assert [(row["name"], row["size"], row["price"]) for row in found.rows] == [
        ("Flour", "50 lb", "26.1"),
        ("Heavy cream", "12 quart", "39.5"),
    ]
    assert Supplier.objects.get().price_columns["heads"] == {"item": "What", "pack": "How much", "price": "For"}
    again = listed("For,What,How much\n27,Flour,50 lb\n")
    assert [(row["name"], row["price"]) for row in again.rows] == [("Flour", "27")]


def test_places_alone_are_remembered_for_a_file_without_heads(listed: Listed) -> None:
    found = listed("Flour,50 lb,26.10\n")
    price_list_choose(price_list_id=found.pk, seen=found.step, places={"item": 0, "pack": 1, "price": 2}, at=AT)
    price_list_compare(price_list_id=found.pk)
    assert listed("Flour,50 lb,27\n").rows[0]["price"] == "27"
    assert listed("Price,Item,Pack\n28,Flour,50 lb\n").rows[0]["price"] == "28", "heads go before places"


def test_columns_are_chosen_once_of_two_windows(listed: Listed) -> None:
    found = listed(ODD)
    price_list_choose(price_list_id=found.pk, seen=found.step, places=PLACES, at=AT)
    with refused(PriceListNotReady, match="being read"):
        price_list_choose(price_list_id=found.pk, seen=found.step, places=PLACES, at=AT)
    price_list_compare(price_list_id=found.pk)
    with refused(PriceListNotReady, match="changed since this page was opened"):
        price_list_choose(price_list_id=found.pk, seen=found.step, places=PLACES, at=AT)


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"item": "0", "pack": "0", "price": "3"}, "Choose a column that is not chosen above."),
        ({"item": "0", "pack": "2", "price": "99"}, "Choose one of the columns of the list."),
        ({"item": "0", "pack": "2"}, "Choose the column."),
    ],
)
def test_columns_that_cannot_be_are_refused(sent: dict[str, str], words: str, listed: Listed, client: Client) -> None:
    found = listed(ODD)
    page = signed_in(client, "owner").post(reverse("price-list-columns", args=[found.pk]), sent)
    assert page.status_code == 422
    assert words in page.content.decode()
    assert PriceList.objects.get().status == "unreadable"


def test_a_deleted_file_is_not_read_again(listed: Listed, client: Client) -> None:
    found = listed(ODD)
    price_list_file_delete(price_list_id=found.pk, at=AT)
    with refused(PriceListNotReady, match="was deleted"):
        price_list_choose(price_list_id=found.pk, seen=found.step, places=PLACES, at=AT)
    assert (
        "Read with these columns"
        not in signed_in(client, "owner").get(reverse("price-list", args=[found.pk])).content.decode()
    )


def test_a_head_that_may_mean_one_piece_is_pointed_out(listed: Listed, client: Client) -> None:
    found = listed("Item,Pack,Unit Price\nFlour,50 lb,26.10\n")
    page = signed_in(client, "owner").get(reverse("price-list", args=[found.pk])).content.decode()
    assert "The price is read from “Unit Price”." in page
