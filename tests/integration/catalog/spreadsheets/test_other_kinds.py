"""Ingredients with packs, products and customers from spreadsheets: read, asked about, imported, undone."""

from datetime import date
from decimal import Decimal

import pytest

from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.spreadsheets.imports import spreadsheet_undo
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.presenters import items_shown, questions_shown, rows_shown
from catalog.taxes.models import TaxCategory
from orders.inquiries.models import Customer
from orders.personal_data.services import subject_erase
from tests.integration.catalog.spreadsheets.conftest import AT, Sheet
from tests.integration.catalog.spreadsheets.test_recipes import again, correct, plan, take


def problems(found: Spreadsheet) -> list[list[str]]:
    return [row.problems for row in rows_shown(found, {}, most=50)[0]]


def undo(found: Spreadsheet) -> list[str]:
    return [reason.code for reason in spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT).left]


STOCK = """Ingredient,Pack size,Price,Vendor,Density
Flour,50 lb bag,$24.60,Quayside,0.5
,5 lb,3.10,Quayside,
Xanthan gum,8 oz,12,,
Isomalt,2 cups,9,,
Butter unsalted,1 lb,,Quayside,
"""


def test_ingredients_come_with_packs_and_figures(sheet: Sheet) -> None:
    found = sheet("ingredients", STOCK)
    assert plan(found) == {"Flour": "change", "Xanthan gum": "new", "Isomalt": "waits", "Butter, unsalted": "waits"}
    assert problems(found) == [
        ["Isomalt is new and its density is not known, so a volume cannot be converted to a weight. Enter a weight"
         " here, or import the ingredient with its density first."],
        ["A pack needs a price, and a price a pack. Enter both, or neither."],
    ]  # fmt: skip
    assert items_shown(found.plan["items"])[0].name == "Xanthan gum"
    assert take(found) == 2
    packs = Pack.objects.filter(ingredient__name="Flour").order_by("pk").values_list("size", "price", "supplier__name")
    assert list(packs) == [("50 lb", Decimal("24.60"), "Quayside"), ("5 lb", Decimal("3.10"), "Quayside")]
    assert Ingredient.objects.get(name="Flour").density == Decimal("0.5")


def test_undoing_ingredients_takes_prices_back_and_earlier_ones_count_again(sheet: Sheet) -> None:
    quayside, flour = Supplier.objects.create(name="Quayside"), Ingredient.objects.get(code="flour")
    before = Pack.objects.create(
        ingredient=flour, size="50 lb", price=Decimal(20), starts=date(2026, 1, 1), supplier=quayside
    )
    found = sheet("ingredients", STOCK)
    take(found)
    assert Pack.objects.get(pk=before.pk).ends is not None
    assert undo(found) == []
    assert (Pack.objects.get().pk, Pack.objects.get().ends) == (before.pk, None)
    assert Ingredient.objects.get(code="flour").density == Decimal("0.53")
    assert not Ingredient.objects.filter(name="Xanthan gum").exists()


def test_a_title_among_ingredients_is_asked_about(sheet: Sheet) -> None:
    found = sheet("ingredients", "Ingredient,Pack,Price\nDAIRY,,\nCream,1 qt,4\n")
    assert [one.words for one in questions_shown(found, most=9)] == [
        "“DAIRY” stands alone in its row. Is it a title or an ingredient?"
    ]
    correct(found, answers={"name:dairy": "leave"})
    assert list(plan(again(found))) == ["Cream"]


def test_a_pack_in_two_rows_is_named(sheet: Sheet) -> None:
    found = sheet("ingredients", "Ingredient,Pack,Price\nFlour,1 lb,4\nFlour,1 lb,5\n")
    assert problems(found) == [["Flour, 1 lb is in row 2 already. Keep one of them."]]


PEOPLE = """Name,E-mail,Phone,Type
Ida Holm,ida@holm.example,555 0100,
Ida Holm,,555 0199,
Marit Lind,IDA@holm.example,,
Gable House,events@gable.example,,venue
No Mail,nothing,,
"""


def test_customers_that_may_be_there_already_are_asked_about(sheet: Sheet) -> None:
    ida = Customer.objects.create(name="Ida Holm", email="ida@holm.example", created_at=AT)
    found = sheet("customers", PEOPLE)
    assert plan(found) == {"Ida Holm": "waits", "Marit Lind": "waits", "Gable House": "new", "No Mail": "waits"}
    assert [item["change"] for item in found.plan["items"]] == ["change", "waits", "waits", "new", "waits"]
    asked = {one.key: one.words for one in questions_shown(found, most=9)}
    assert asked == {
        "customer:ida holm:": "Is “Ida Holm” your Ida Holm, ida@holm.example, who is there already?",
        "customer:marit lind:ida@holm.example": "Is “Marit Lind” your Ida Holm, ida@holm.example, who is"
        " there already?",
    }
    assert take(found) == 2
    ida.refresh_from_db()
    assert (ida.phone, Customer.objects.get(name="Gable House").kind) == ("555 0100", "venue")
    correct(found, {6: {"email": ""}}, answers={"customer:ida holm:": "add"})
    assert take(again(found)) == 2
    assert undo(again(found)) == []
    ida.refresh_from_db()
    assert (ida.phone, list(Customer.objects.values_list("name", flat=True))) == ("", ["Ida Holm"])


@pytest.mark.django_db(transaction=True)
def test_an_erased_customer_is_never_written_over_and_the_files_about_people_go(sheet: Sheet) -> None:
    found = sheet("customers", "Name,E-mail,Note\nIda Holm,ida@holm.example,allergic to walnuts\n")
    take(found)
    customer = Customer.objects.get()
    customer.inquiries.create(
        title="Supper", received_at=AT, window_start=AT, window_end=AT
    )  # with an inquiry, the row stays
    subject_erase(customer_id=customer.pk, by="odile", at=AT)
    held = Spreadsheet.objects.values_list("body", "grid", "lines", "plan", "made").get(pk=found.pk)
    assert (bytes(held[0]), *held[1:]) == (b"", [], [], {}, {})
    second = sheet("customers", "Name,E-mail\n[erased],ida@holm.example\n")
    assert {one["code"] for one in second.plan["questions"]} <= {"erased"}
    assert all(item["change"] in ("new", "waits") for item in second.plan["items"])


def test_products_come_with_recipes_and_packaging(sheet: Sheet) -> None:
    TaxCategory.objects.create(code="cakes", name="Cakes")
    curd = Recipe.objects.create(code="curd", name="Lemon curd")
    found = sheet(
        "products",
        "Product,Category,Servings,Price,Recipe,Amount\nTart,Tarts,8,$42.50,Lemon curd,400 g\n,,,,Cake box,1\n"
        "Slice,,1,4,Jam,1 cup\n",
    )
    assert plan(found) == {"Tart": "new", "Slice": "waits"}
    assert problems(found) == [
        ["“Jam” is none of your recipes or counted items. Import it first, or correct the name.",
         "A new product needs a category. Enter one, such as Cakes."]
    ]  # fmt: skip
    take(found)
    tart = Product.objects.get()
    assert (tart.list_price, [(one.recipe_id, one.amount) for one in tart.fills.all()]) == (
        Decimal("42.50"), [(curd.pk, "400 g")],
    )  # fmt: skip
    assert [one.amount for one in tart.packaging.all()] == ["1 each"]
    assert undo(found) == []
    assert not Product.objects.exists()
