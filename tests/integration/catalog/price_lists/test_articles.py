"""Another article under the same ingredient: what was answered "free" was read on the label of the one before."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.price_lists.corrections import Correction, price_list_correct
from catalog.price_lists.imports import price_list_import, price_list_undo
from catalog.price_lists.models import PriceList
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.catalog.price_lists.conftest import AT, Listed

FREE = {"milk": "free", "eggs": "may"}


def ingredient(name: str, *, bought: bool = True) -> Ingredient:
    named_only = {"free_by": f"label:{name}"}
    row = Ingredient.objects.create(code="it", name=name, allergen_answers=FREE, named_only=named_only, position=9)
    supplier = Supplier.objects.get(name="Quayside")
    if bought:
        price = Decimal("24.60")
        Pack.objects.create(ingredient=row, size="5 lb", price=price, starts=date(2026, 1, 1), supplier=supplier)
    return row


def corrected(listed: Listed, words: str, name: str, price: str = "30") -> PriceList:
    found = listed(f"item;pack;price\n{words};5 lb;{price}\n")
    row = found.lines[0]["row"]
    correction = Correction(row, name, None, None, same=True, sure=True)
    price_list_correct(price_list_id=found.pk, seen=found.step, corrections=[correction])
    return PriceList.objects.get(pk=found.pk)


@pytest.mark.parametrize(
    ("name", "words", "bought", "survive"),
    [
        ("Kransekake", "NORDIC RING CAKE 12CT", True, False),
        ("Dark couverture", "ARDENT DK 64 CALLETS", True, False),
        ("Kransekake", "NORDIC RING CAKE 12CT", False, True),
        ("Kransekake", "RING CAKE W/ MILK", False, False),
        ("Granulated sugar", "REEF GRAN XF", True, False),
        ("Granulated sugar", "REEF GRAN XF", False, True),
        ("Almond flour", "Mandeln, gemahlen 5 kg", True, False),
        ("Strawberries", "Erdbeer-Fruchtmix TK", True, False),
        ("Granulated sugar", "SUGAR W/ BUTTERMILK", True, False),
    ],
)
def test_free_stays_only_with_its_article(
    listed: Listed, name: str, words: str, *, bought: bool, survive: bool
) -> None:
    row = ingredient(name, bought=bought)
    found = corrected(listed, words, name)
    done = price_list_import(price_list_id=found.pk, by="odile", at=AT)
    row.refresh_from_db()
    assert row.allergen_answers == (FREE if survive else {"eggs": "may"})
    assert done.unchecked == (() if survive else (name,))
    price_list_undo(price_list_id=found.pk, by="odile", at=AT)
    row.refresh_from_db()
    assert (row.allergen_answers, row.named_only) == (FREE, {"free_by": f"label:{name}"})


def test_the_same_words_in_the_next_list_take_nothing_more(listed: Listed) -> None:
    row = ingredient("Kransekake")
    first = corrected(listed, "NORDIC RING CAKE", "Kransekake")
    price_list_import(price_list_id=first.pk, by="odile", at=AT)
    Ingredient.objects.filter(pk=row.pk).update(allergen_answers=FREE)
    Pack.objects.filter(ends=None).update(starts=date(2026, 11, 5))
    next_one = listed("item,pack,price\nNORDIC RING CAKE,5 lb,31\n")
    price_list_import(price_list_id=next_one.pk, by="odile", at=AT)
    row.refresh_from_db()
    assert row.allergen_answers == FREE


def test_the_owner_reads_it_where_it_is_imported_and_on_its_page(listed: Listed, client: Client) -> None:
    row = ingredient("Kransekake")
    found, owner = corrected(listed, "NORDIC RING CAKE", "Kransekake"), signed_in(client, "owner")
    sent = {"step": found.step}
    page = owner.post(reverse("price-list-import", args=[found.pk]), sent, follow=True).content.decode()
    assert "The list has another name for Kransekake. Read the label again: allergens are not checked." in page
    words = "the supplier’s price list now calls it “NORDIC RING CAKE”, so it may be another product"
    assert words in owner.get(reverse("ingredient", args=[row.pk])).content.decode()


def test_so_where_the_price_is_the_same(listed: Listed) -> None:
    row = ingredient("Kransekake")
    corrected(listed, "NORDIC RING CAKE", "Kransekake", price="24.60")
    row.refresh_from_db()
    assert row.allergen_answers == {"eggs": "may"}


@pytest.mark.parametrize(
    ("words", "survive"),
    [("MANDELN GEMAHLEN 5KG", True), ("Mandeln, gemahlen 4 x 2,5 kg", True), ("Mandeln, gehobelt 1 kg", False)],
)
def test_words_that_differ_by_the_size_alone_are_of_the_same_article(
    listed: Listed, words: str, *, survive: bool
) -> None:
    row = ingredient("Almond flour")
    Supplier.objects.filter(name="Quayside").update(item_names={"mandeln, gemahlen 1 kg": row.pk})
    found = corrected(listed, f'"{words}"', "Almond flour")
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    row.refresh_from_db()
    assert row.allergen_answers == (FREE if survive else {"eggs": "may"})
