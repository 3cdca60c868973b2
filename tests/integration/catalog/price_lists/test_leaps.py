"""A price far from the one before is asked about; every change is shown in percent, the largest first."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.pantry.models import Pack
from catalog.pantry.price_slips import is_leap
from catalog.price_lists.corrections import Correction, price_list_correct
from catalog.price_lists.imports import price_list_import
from catalog.price_lists.presenters import rows_shown
from catalog.price_lists.rows_presenters import rows_open
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.price_lists.conftest import AT, Listed

SLIP = "Item,Pack,Price\nFlour,50 lb,246.00\n"


@pytest.mark.parametrize(
    ("before", "price", "leap"),
    [("5.90", "59.00", True), ("59", "5.90", True), ("10", "30", True), ("10", "29", False), ("0", "9", False)],
)
def test_from_three_times_on_it_is_asked(before: str, price: str, leap: bool) -> None:
    assert is_leap(Decimal(before), Decimal(price)) is leap


def test_ten_times_the_price_waits_until_it_is_checked_as_right(listed: Listed, client: Client) -> None:
    found = listed(SLIP)
    (row,) = rows_open(found, {})
    assert row.problems == [
        "$246.00 instead of $24.60: is that right? Correct the price, or check the box that it is right."
    ]
    assert found.rows == []
    user_make()
    client.login(username="maren", password=PASSWORD)
    address = reverse("price-list", args=[found.pk])
    assert "Yes, $246.00 is right" in " ".join(client.get(address).content.decode().split())
    sent = {"step": found.step, "row": "2", "item-2": "Flour", "pack-2": "50 lb", "price-2": "246.00", "sure-2": "on"}
    client.post(reverse("price-list-correct", args=[found.pk]), sent)
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    assert Pack.objects.latest("pk").price == Decimal("246.00")


def test_a_price_that_is_corrected_to_another_leap_is_asked_about_again(listed: Listed) -> None:
    found = listed(SLIP)
    correct = [Correction(2, "Flour", "50 lb", "2460", sure=True)]
    assert price_list_correct(price_list_id=found.pk, seen=None, corrections=correct) == 1
    correct = [Correction(2, "Flour", "50 lb", "26.10")]
    assert price_list_correct(price_list_id=found.pk, seen=None, corrections=correct) == 0


def test_changes_are_shown_in_percent_the_largest_first(listed: Listed) -> None:
    text = "Item,Pack,Price\nFlour,50 lb,27.06\nFlour,5 lb,3.00\nCake box,50 each,20\n"
    found = listed(text)
    pack = Pack.objects.get()
    Pack.objects.create(
        ingredient=pack.ingredient, size="5 lb", price=Decimal(4), starts=pack.starts, supplier=pack.supplier
    )
    price_list_correct(price_list_id=found.pk, seen=None, corrections=[])
    found.refresh_from_db()
    assert [(row["row"], row["words"]) for row in rows_shown(found.rows)] == [
        (3, "lower by 25.0%"), (2, "higher by 10.0%"), (4, "new"),
    ]  # fmt: skip
