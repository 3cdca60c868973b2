"""A whole import is undone: its prices go, earlier ones count again, and what stays is named with the reason."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack
from catalog.pantry.services import PackPrice, pack_prices_set
from catalog.price_lists.corrections import Correction, price_list_correct
from catalog.price_lists.imports import Undone, price_list_import, price_list_undo
from catalog.price_lists.models import PriceList
from catalog.price_lists.services import price_list_choose, price_list_compare, price_list_upload
from catalog.recipes.models import Recipe, RecipeLine
from catalog.records.errors import PriceListNotReady
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.catalog.price_lists.conftest import AT, STARTS, Listed
from tests.refusals import refused

LIST = "item,pack,price\nFlour,50 lb,26.10\nFlour,5 lb,4\nSaffron,1 oz,48\nLemons,140 ct,44\nThyme,1 lb,9\n"


@pytest.fixture
def imported(listed: Listed) -> PriceList:
    found = listed(LIST)
    price_list_correct(price_list_id=found.pk, seen=found.step, corrections=(), add_unknown=True)
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    return PriceList.objects.get(pk=found.pk)


def undo(found: PriceList) -> Undone:
    return price_list_undo(price_list_id=found.pk, by="odile", at=AT)


def test_an_import_is_undone_completely_and_can_be_made_again(imported: PriceList) -> None:
    revision = Kitchen.objects.get().revision
    assert undo(imported) == Undone(prices=5, ingredients=3, left=[])
    pack = Pack.objects.get()
    assert (pack.price, pack.ends) == (Decimal("24.60"), None)
    assert set(Ingredient.objects.values_list("code", flat=True)) == {"flour", "cream", "box"}
    assert Kitchen.objects.get().revision == revision + 1
    found = PriceList.objects.get()
    assert (found.status, found.errors, len(found.rows)) == ("read", [], 5)
    with refused(PriceListNotReady, match="not imported"):
        undo(found)
    assert price_list_import(price_list_id=found.pk, by="odile", at=AT).prices == 5
    assert Ingredient.objects.filter(name="Saffron").count() == 1


def test_an_earlier_last_day_counts_again(listed: Listed) -> None:
    Pack.objects.update(ends=date(2026, 12, 31))
    found = listed("item,pack,price\nFlour,50 lb,26.10\n")
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    undo(found)
    assert Pack.objects.get().ends == date(2026, 12, 31)


def test_a_later_price_stays_and_the_earlier_one_runs_until_it(imported: PriceList) -> None:
    flour = Ingredient.objects.get(code="flour")
    later = STARTS + timedelta(days=30)
    pack_prices_set(prices=[PackPrice(flour.pk, "50 lb", Decimal(28))], starts=later, supplier=imported.supplier)
    undo(imported)
    packs = Pack.objects.filter(size="50 lb").order_by("starts")
    assert [(pack.price, pack.ends) for pack in packs] == [
        (Decimal("24.60"), later - timedelta(days=1)),
        (Decimal(28), None),
    ]


def test_what_is_used_corrected_or_changed_since_stays_and_is_named(imported: PriceList, client: Client) -> None:
    recipe = Recipe.objects.create(code="bun", name="Saffron bun", position=0)
    saffron = Ingredient.objects.get(name="Saffron")
    RecipeLine.objects.create(recipe=recipe, ingredient=saffron, amount="1 g", position=0)
    Ingredient.objects.filter(name="Thyme").update(allergen_answers={"milk": "free"})
    Pack.objects.filter(size="5 lb").update(price=Decimal(5))
    owner = signed_in(client, "owner")
    sent = {"step": imported.step}
    page = owner.post(reverse("price-list-undo", args=[imported.pk]), sent, follow=True).content.decode()
    assert "The import is undone in part: 2 prices are removed." in page
    assert "The import is undone in part. What stays is listed below." in page
    assert "The import is undone: " not in page
    assert "Flour, 5 lb: the price was corrected since, so it stays." in page
    assert "Saffron stays, with its price: it is used by Saffron bun." in page
    assert "Thyme stays, with its price: it was changed since." in page
    assert not Ingredient.objects.filter(name="Lemons").exists()
    assert Pack.objects.filter(ingredient__name="Saffron").exists()


def test_an_ingredient_with_another_suppliers_price_stays(imported: PriceList) -> None:
    thyme = Ingredient.objects.get(name="Thyme")
    Pack.objects.create(ingredient=thyme, size="1 lb", price=Decimal(8), starts=STARTS)
    assert [(reason.code, reason.params) for reason in undo(imported).left] == [
        ("ingredient_priced", {"name": "Thyme"})
    ]


def test_what_stayed_goes_once_nothing_uses_it_any_more(imported: PriceList, client: Client) -> None:
    """Seen: what an undo had left could never be undone, not even after what used it was deleted."""
    bun = Recipe.objects.create(code="bun", name="Saffron bun")
    RecipeLine.objects.create(recipe=bun, ingredient=Ingredient.objects.get(name="Saffron"), amount="1 g")
    assert [reason.code for reason in undo(imported).left] == ["ingredient_used"]
    bun.delete()
    owner, address = signed_in(client, "owner"), reverse("price-list", args=[imported.pk])
    assert "Undo the rest" in owner.get(address).content.decode()
    sent = {"step": PriceList.objects.get().step}
    page = owner.post(reverse("price-list-undo", args=[imported.pk]), sent, follow=True).content.decode()
    assert "Undo the rest" not in page
    assert "The import is undone: 5 prices are removed. 3 ingredients that it added are removed." in page
    assert set(Ingredient.objects.values_list("code", flat=True)) == {"flour", "cream", "box"}
    assert Pack.objects.count() == 1


def test_an_import_after_an_undo_in_part_is_undone_with_what_stayed(imported: PriceList) -> None:
    bun = Recipe.objects.create(code="bun", name="Saffron bun")
    RecipeLine.objects.create(recipe=bun, ingredient=Ingredient.objects.get(name="Saffron"), amount="1 g")
    undo(imported)
    price_list_import(price_list_id=imported.pk, by="odile", at=AT)
    bun.delete()
    assert undo(PriceList.objects.get()).left == []
    assert set(Ingredient.objects.values_list("code", flat=True)) == {"flour", "cream", "box"}


def test_a_price_of_the_same_day_is_replaced_once_that_is_checked(listed: Listed, client: Client) -> None:
    """Seen: a list that corrects a price entered today asked for another first day of all its prices."""
    Pack.objects.update(starts=STARTS)
    found = listed("item,pack,price\nFlour,50 lb,26.10\n")
    owner, address = signed_in(client, "owner"), reverse("price-list", args=[found.pk])
    page = " ".join(owner.get(address).content.decode().split())
    assert "Flour, 50 lb has a price from" in page
    assert "already, $24.60. Check the box to replace it, or choose a later first day for the list." in page
    assert "Yes, replace $24.60" in page
    sent = {"step": found.step, "row": "2", "item-2": "Flour", "pack-2": "50 lb", "price-2": "26.10", "instead-2": "on"}
    owner.post(reverse("price-list-correct", args=[found.pk]), sent)
    found.refresh_from_db()
    page = owner.post(reverse("price-list-import", args=[found.pk]), {"step": found.step}, follow=True).content.decode()
    assert "1 price is imported." in page
    assert [(pack.price, pack.starts) for pack in Pack.objects.all()] == [(Decimal("26.10"), STARTS)]
    assert undo(PriceList.objects.get()) == Undone(prices=1, ingredients=0, left=[])
    assert Pack.objects.get().price == Decimal("24.60")


def test_all_prices_of_the_same_day_are_replaced_at_once_and_the_counts_follow_the_import(
    listed: Listed, client: Client
) -> None:
    pounds = Pack.objects.get()
    Pack.objects.create(ingredient=pounds.ingredient, size="5 lb", price=3, starts=STARTS, supplier=pounds.supplier)
    Pack.objects.update(starts=STARTS)
    found = listed("item,pack,price\nFlour,50 lb,26.10\nFlour,5 lb,3.20\nCake box,100/cs,$39.50/cs\n")
    owner, address = signed_in(client, "owner"), reverse("price-list", args=[found.pk])
    assert "Replace all 2 prices of the same day" in owner.get(address).content.decode()
    sent = {"step": found.step, "do": "replace-all"}
    owner.post(reverse("price-list-correct", args=[found.pk]), sent)
    found.refresh_from_db()
    assert (found.errors, len(found.rows)) == ([], 3)
    owner.post(reverse("price-list-import", args=[found.pk]), {"step": found.step})
    page = " ".join(owner.get(address).content.decode().split())
    assert "3 imported; 0 new, 0 higher, 0 lower, 0 unchanged" in page
    assert sorted(Pack.objects.values_list("size", "price")) == [
        ("100 each", Decimal("39.50")), ("5 lb", Decimal("3.20")), ("50 lb", Decimal("26.10")),
    ]  # fmt: skip


def test_a_price_replaced_and_corrected_since_stays(listed: Listed, client: Client) -> None:
    Pack.objects.update(starts=STARTS)
    found = listed("item,pack,price\nFlour,50 lb,26.10\n")
    correct = [Correction(2, "Flour", "50 lb", "26.10", instead=True)]
    assert price_list_correct(price_list_id=found.pk, seen=None, corrections=correct) == 0
    Pack.objects.update(price=Decimal(25))
    owner, address = signed_in(client, "owner"), reverse("price-list-import", args=[found.pk])
    found.refresh_from_db()
    assert "already" in owner.post(address, {"step": found.step}, follow=True).content.decode()
    assert Pack.objects.get().price == Decimal(25)
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    Pack.objects.update(price=Decimal(27))
    assert [reason.code for reason in undo(PriceList.objects.get()).left] == ["price_corrected"]
    assert Pack.objects.get().price == Decimal(27)


def test_of_two_windows_one_undoes(imported: PriceList, client: Client) -> None:
    owner = signed_in(client, "owner")
    address = reverse("price-list-undo", args=[imported.pk])
    assert "is undone" in owner.post(address, {"step": imported.step}, follow=True).content.decode()
    assert (
        "Nothing was changed: the list is not imported."
        in owner.post(address, {"step": imported.step}, follow=True).content.decode()
    )


def test_a_list_from_before_says_that_it_cannot_be_undone(imported: PriceList, client: Client) -> None:
    PriceList.objects.update(made={})
    with refused(PriceListNotReady, match="before imports could be undone"):
        undo(imported)
    with refused(PriceListNotReady, match="imported already"):
        price_list_import(price_list_id=imported.pk, by="odile", at=AT)
    page = signed_in(client, "owner").get(reverse("price-list", args=[imported.pk])).content.decode()
    assert "Prices changed" in page
    assert "Undo import" not in page


def test_what_the_list_itself_brought_is_named_as_staying(listed: Listed, client: Client) -> None:
    body = b"What,Region,How much,For\nFlour,North,50 lb,26.10\n"
    found = price_list_upload(supplier="Northgate", file_name="n.csv", body=body, starts=STARTS, by="odile", at=AT)
    price_list_compare(price_list_id=found.pk)
    found.refresh_from_db()
    price_list_choose(price_list_id=found.pk, seen=found.step, places={"item": 0, "pack": 2, "price": 3}, at=AT)
    price_list_compare(price_list_id=found.pk)
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    found.refresh_from_db()
    sent = {"step": found.step}
    page = signed_in(client, "owner").post(reverse("price-list-undo", args=[found.pk]), sent, follow=True)
    text = page.content.decode()
    assert "The import is undone: 1 price is removed." in text
    assert "Northgate stays among your suppliers, because this price list is from there." in text
    assert "Which column holds what stays remembered for the next lists of Northgate." in text
