"""Figures in files and forms are read as the kitchen's country writes them."""

from decimal import Decimal

from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack
from catalog.price_lists.models import PriceList
from catalog.price_lists.services import price_list_compare, price_list_upload
from catalog.recipes.models import Recipe
from catalog.spreadsheets.export_content import export_csv
from catalog.spreadsheets.presenters import stored_sentence
from catalog.spreadsheets.recipes import recipes_export
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.catalog.spreadsheets.conftest import AT, Sheet
from tests.integration.catalog.spreadsheets.test_recipes import again, lines, plan, take


def german() -> None:
    Kitchen.objects.update(locale="de_DE", currency="EUR", country="DE")


def test_thousands_in_a_recipe_file_of_a_german_kitchen_are_thousands(sheet: Sheet) -> None:
    german()
    rows = "Tart;1.250,5 g;Flour\n;2.500 ml;Milk\n;1,125 kg;Butter, unsalted\n"
    found = sheet("recipes", f"Recipe;Amount;Ingredient\n{rows}")
    assert (found.plan["problems"], take(found)) == ([], 1)
    assert [amount for amount, _ in lines("Tart")] == ["1250.5 g", "2500 ml", "1.125 kg"]
    # What is exported is read as the same again.
    assert [row["amount"] for row in recipes_export()] == ["1250,5 g", "2500 ml", "1,125 kg"]
    assert again(found).status == "applied"


def test_thousands_in_a_price_list_of_a_german_kitchen_are_thousands(sheet: Sheet) -> None:
    german()
    text = "Item;Pack;Price\nFlour;1.000 g;1.250\nMilk;1,5 l;1.250,00\n"
    made = price_list_upload(supplier="Kai", file_name="p.csv", body=text.encode(), starts=AT.date(), by="odile", at=AT)
    price_list_compare(price_list_id=made.pk)
    found = PriceList.objects.get(pk=made.pk)
    assert [(row["size"], Decimal(row["price"])) for row in found.rows] == [("1000 g", 1250), ("1.5 l", 1250)]


def test_the_form_of_a_pack_reads_and_shows_figures_as_the_country_writes_them(sheet: Sheet, client: Client) -> None:
    german()
    flour = Ingredient.objects.get(code="flour")
    owner = signed_in(client, "owner")
    sent = {"size": "1.125 g", "price": "1.250", "starts": "2026-01-05", "supplier": ""}
    owner.post(reverse("pack-add", args=[flour.pk]), sent)
    pack = Pack.objects.get(ingredient=flour)
    assert (pack.size, pack.price) == ("1125 g", Decimal(1250))


def test_heads_without_rows_are_named_as_such(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\n,,\n")
    assert found.status == "unreadable"
    assert stored_sentence(found.reading["problem"]).startswith("The sheet has heads and no rows below them.")


def test_amounts_of_what_would_be_imported_are_written_as_the_country_writes_them(sheet: Sheet, client: Client) -> None:
    german()
    found = sheet("recipes", "Recipe;Amount;Ingredient\nTart;1,125 kg;Flour\n")
    owner = signed_in(client, "owner")
    page = owner.get(reverse("spreadsheet", args=[found.pk])).content.decode()
    assert "1,125 kg Flour" in page
    found = sheet("ingredients", "Ingredient;Pack;Price\nFlour;1,5 kg;2,25\n")
    page = owner.get(reverse("spreadsheet", args=[found.pk])).content.decode()
    assert "1,5 kg, 2,25" in page


def test_an_export_with_decimal_commas_is_separated_by_semicolons_and_read_back(sheet: Sheet) -> None:
    german()
    take(sheet("recipes", "Rezept;Menge;Zutat;Notiz\nTart;1,5 kg;Flour;fein\n"))
    assert Recipe.objects.get().note == "Flour: fein"
    body = export_csv("recipes")
    assert body.decode("utf-8-sig").splitlines()[1].startswith("Tart;1,5 kg;Flour;")
    assert plan(sheet("recipes", body)) == {"Tart": "same"}
