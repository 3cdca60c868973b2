"""What is bought where it was not bought before is another good: "free" is asked of its own label."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.free_by import BOUGHT, WAS_FREE, was_free
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.price_lists.imports import price_list_import, price_list_undo
from catalog.price_lists.models import PriceList
from tests.integration.catalog.kitchen_pages import text
from tests.integration.catalog.pantry.test_ingredients import signed_in, submitted
from tests.integration.catalog.price_lists.test_price_lists import AT, listed
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db
ANSWERS = {"peanuts": "free", "sesame": "free", "milk": "may", "alcohol": "free"}
LEFT = {"milk": "may"}


@pytest.fixture
def owner(client: Client) -> Client:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    return signed_in(client, "owner")


def sugar(seller: str = "Harbor Dry Goods") -> Ingredient:
    row = Ingredient.objects.create(code="sugar", name="Sugar", allergen_answers=ANSWERS)
    supplier = Supplier.objects.get_or_create(name=seller)[0]
    Pack.objects.create(ingredient=row, size="50 lb", price=Decimal(40), starts=date(2026, 1, 5), supplier=supplier)
    return row


def bought(owner: Client, row: Ingredient, supplier: str, **more: str) -> str:
    pack = {"size": "25 lb", "price": "21.00", "supplier": supplier, "starts": "2026-03-02", **more}
    page = text(owner.post(reverse("pack-add", args=[row.pk]), pack, follow=True))
    row.refresh_from_db()
    return page


def test_a_new_price_or_size_of_the_same_supplier_asks_nothing(owner: Client) -> None:
    row = sugar()
    bought(owner, row, "harbor dry goods")
    bought(owner, row, "Harbor Dry Goods", size="50 lb", price="41.00")
    assert (row.packs.count(), row.allergen_answers) == (3, ANSWERS)


def test_a_new_supplier_takes_free_back_until_the_label_is_read(owner: Client) -> None:
    row = sugar()
    assert "I have read its label, and every answer “free” holds" in text(
        owner.get(reverse("ingredient", args=[row.pk]))
    )
    assert "its “free” answers are “not checked” now" in bought(owner, row, "Mill Lane")
    assert (row.allergen_answers, row.named_only[BOUGHT]) == (LEFT, "Harbor Dry Goods")
    labels = text(owner.get(reverse("ingredient-labels")))
    assert "from a new supplier or maker · free of peanuts and sesame before" in labels
    answers = {"label-has-milk": "may", "label-free_again": "on"}
    save_edit(owner, reverse("ingredient", args=[row.pk]), submitted(name="Sugar", **answers))
    row.refresh_from_db()
    assert (row.allergen_answers, WAS_FREE in row.named_only) == (ANSWERS, False)


def test_what_was_free_reads_the_same_whatever_order_the_database_gives_it() -> None:
    assert was_free({WAS_FREE: "sesame peanuts"}) == ("peanuts", "sesame")


def test_who_read_the_label_says_so_with_the_price(owner: Client) -> None:
    row = sugar()
    bought(owner, row, "Mill Lane", label_read="on")
    assert row.allergen_answers == ANSWERS


def test_the_first_price_of_all_asks_nothing(owner: Client) -> None:
    row = Ingredient.objects.create(code="sugar", name="Sugar", allergen_answers=ANSWERS)
    bought(owner, row, "Mill Lane")
    assert row.allergen_answers == ANSWERS


@pytest.mark.parametrize("note", ["May contain traces of peanut", "Made beside sesame"])
def test_a_note_is_held_against_what_is_answered_free(owner: Client, note: str) -> None:
    row = sugar()
    address, free = reverse("ingredient", args=[row.pk]), {"label-has-peanuts": "free", "label-has-sesame": "free"}
    assert "The note names" in text(save_edit(owner, address, submitted(name="Sugar", note=note, **free)))
    row.refresh_from_db()
    assert row.note == ""
    may = {"label-has-peanuts": "may", "label-has-sesame": "may"}
    save_edit(owner, address, submitted(name="Sugar", note=note, **may))
    row.refresh_from_db()
    assert row.note == note


def test_a_price_list_names_the_rows_that_sell_another_good(owner: Client) -> None:
    row = sugar()
    found = listed("Item;Pack;Price\nSugar;50 lb;38\n")
    address = reverse("price-list", args=[found.pk])
    assert "another good: its “free” answers become “not checked”" in text(owner.get(address))
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    page = text(owner.get(address))
    assert "its “free” answers became “not checked”" in page
    assert "Labels to read" in page
    row.refresh_from_db()
    assert (row.allergen_answers, row.named_only[BOUGHT]) == (LEFT, "Harbor Dry Goods")


def test_another_item_of_the_same_supplier_is_another_good() -> None:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    row = sugar("Quayside")
    Supplier.objects.filter(name="Quayside").update(item_names={"sugar fine": row.pk})
    found = listed("Item;Pack;Price\nSugar fine;50 lb;38\n")
    assert not any("other_good" in one for one in found.rows)
    found = listed("Item;Pack;Price\nSugar;50 lb;38\n")
    assert PriceList.objects.get(pk=found.pk).rows[0]["other_good"]
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    row.refresh_from_db()
    assert row.allergen_answers == LEFT


@pytest.mark.parametrize("corrected", [False, True])
def test_undoing_a_list_of_a_new_supplier_gives_free_back_unless_his_price_stays(
    owner: Client, *, corrected: bool
) -> None:
    row = sugar()
    found = listed("Item;Pack;Price\nSugar;50 lb;38\n")
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    row.refresh_from_db()
    assert row.allergen_answers == LEFT
    if corrected:
        Pack.objects.filter(supplier__name="Quayside").update(price=Decimal(39))
    price_list_undo(price_list_id=found.pk, by="odile", at=AT)
    row.refresh_from_db()
    assert (row.allergen_answers, row.named_only) == (
        (LEFT, {BOUGHT: "Harbor Dry Goods", WAS_FREE: row.named_only[WAS_FREE]}) if corrected else (ANSWERS, {})
    )


def test_another_maker_takes_free_back_also_of_the_same_supplier(owner: Client) -> None:
    row = sugar()
    assert "It is made by somebody else than before" in text(owner.get(reverse("ingredient", args=[row.pk])))
    assert "from a new supplier or maker" in bought(owner, row, "Harbor Dry Goods", size="10 lb", other_maker="on")
    assert (row.allergen_answers, row.named_only[BOUGHT]) == (LEFT, "Harbor Dry Goods")


def test_the_label_of_another_maker_was_read(owner: Client) -> None:
    row = sugar()
    bought(owner, row, "Harbor Dry Goods", size="10 lb", other_maker="on", label_read="on")
    assert row.allergen_answers == ANSWERS


def test_a_supplier_that_gets_another_name_is_asked_whether_it_is_the_same_business(owner: Client) -> None:
    row = sugar()
    supplier = Supplier.objects.get()
    address = reverse("supplier", args=[supplier.pk])
    page = save_edit(owner, address, {"name": "Mill Lane", "note": ""})
    assert "It was called Harbor Dry Goods. State that it is the same business" in text(page)
    assert "It is the same business under another name" in text(page)
    supplier.refresh_from_db()
    assert supplier.name == "Harbor Dry Goods"
    save_edit(owner, address, {"name": "Mill Lane", "note": "", "same_business": "on"})
    supplier.refresh_from_db()
    row.refresh_from_db()
    assert (supplier.name, row.allergen_answers) == ("Mill Lane", ANSWERS)


@pytest.mark.parametrize("name", ["HARBOR DRY-GOODS", "Harbor Dry Goods"])
def test_a_supplier_written_otherwise_is_not_asked(owner: Client, name: str) -> None:
    sugar()
    supplier = Supplier.objects.get()
    save_edit(owner, reverse("supplier", args=[supplier.pk]), {"name": name, "note": ""})
    supplier.refresh_from_db()
    assert supplier.name == name
