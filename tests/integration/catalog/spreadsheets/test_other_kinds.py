"""Ingredients with packs, products and customers from spreadsheets: read, asked about, imported, undone."""

from datetime import date
from decimal import Decimal

import pytest

from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.products.models import Fill, Packaging, Product
from catalog.recipes.models import Recipe, RecipeLine
from catalog.spreadsheets.export_content import export_csv
from catalog.spreadsheets.imports import spreadsheet_undo
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.presenters import columns_unread, items_shown, left_words, questions_shown, rows_shown
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
    assert plan(found) == {"Flour": "asked", "Xanthan gum": "new", "Isomalt": "waits", "Butter, unsalted": "waits"}
    assert problems(found) == [
        ["Isomalt is new and its density is not known, so a volume cannot be converted to a weight. Enter a weight"
         " here, or import the ingredient with its density first."],
        ["A pack needs a price, and a price a pack. Enter both, or neither."],
    ]  # fmt: skip
    assert items_shown(found.plan["items"])[0].name == "Flour"
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


def test_a_supplier_that_an_import_added_goes_with_it_unless_something_is_from_there(sheet: Sheet) -> None:
    found = sheet("ingredients", STOCK)
    take(found)
    assert Supplier.objects.get().name == "Quayside"
    assert undo(found) == []
    assert not Supplier.objects.exists()
    take(again(found))
    Supplier.objects.update(note="Closed on Mondays")
    assert undo(again(found)) == ["supplier_used"]
    assert Supplier.objects.exists()


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
    assert [item["change"] for item in found.plan["items"]] == ["asked", "waits", "waits", "new", "waits"]
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
        ["“Jam” is none of your recipes or ingredients. Import it first, or correct the name.",
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


def test_undoing_leaves_the_price_of_an_ingredient_that_stays(sheet: Sheet) -> None:
    found = sheet("ingredients", STOCK)
    take(found)
    gum = Ingredient.objects.get(name="Xanthan gum")
    recipe = Recipe.objects.create(code="curd", name="Lemon curd")
    RecipeLine.objects.create(recipe=recipe, ingredient=gum, amount="3 g", position=0)
    assert undo(found) == ["ingredient_used"]
    assert [pack.price for pack in Pack.objects.filter(ingredient=gum)] == [Decimal(12)]
    assert left_words(Spreadsheet.objects.get()) == ["Xanthan gum stays, with its price: it is used by Lemon curd."]


def test_columns_that_are_not_read_are_named_and_products_without_anything_say_so(sheet: Sheet) -> None:
    TaxCategory.objects.create(code="cakes", name="Cakes")
    Recipe.objects.create(code="curd", name="Lemon curd")
    found = sheet("products", "Dessert,Category,Serves,Sold in,Price,Shelf,Cost\nTart,Tarts,8,each,40,3,12\n")
    assert columns_unread(found) == ["Shelf", "Cost"]
    assert items_shown(found.plan["items"])[0].details == (
        "no recipe and no packaging: its cost is not known until you add them"
    )
    found = sheet(
        "products",
        "Dessert,Category,Serves,Sold in,Price,Made of,How much\n"
        "Tart,Tarts,8,each,40,Lemon curd,400 g\nBites,Tarts,1,dozen,2,Lemon curd,20 g\n",
    )
    assert (columns_unread(found), problems(found), plan(found)) == ([], [], {"Tart": "new", "Bites": "new"})
    take(found)
    assert list(Product.objects.order_by("pk").values_list("sale_multiple", "fills__amount")) == [
        (1, "400 g"), (12, "20 g"),
    ]  # fmt: skip


def test_packaging_that_the_form_takes_comes_back(sheet: Sheet) -> None:
    tax = TaxCategory.objects.create(code="cakes", name="Cakes")
    curd = Recipe.objects.create(code="flour_recipe", name="Flour")
    product = Product.objects.create(code="tart", name="Tart", category="Tarts", servings=8, tax=tax, position=0)
    Fill.objects.create(product=product, recipe=curd, amount="400 g", position=0)
    rows = [("flour", "12 oz"), ("milk", "2 fl_oz"), ("eggs", "1 each"), ("box", "1/12 each")]
    for place, (code, amount) in enumerate(rows):
        good = Ingredient.objects.get(code=code)
        Packaging.objects.create(product=product, ingredient=good, amount=amount, position=place)
    body = export_csv("products")
    assert plan(sheet("products", body)) == {"Tart": "same"}
    product.delete()
    found = sheet("products", body)
    assert problems(found) == []
    take(found)
    made = Product.objects.get()
    assert [(one.ingredient.code, one.amount) for one in made.packaging.all()] == rows
    assert [(one.recipe.code, one.amount) for one in made.fills.all()] == [("flour_recipe", "400 g")]


def test_a_fraction_of_a_box_is_a_count_and_a_wrong_number_names_its_column(sheet: Sheet) -> None:
    TaxCategory.objects.create(code="cakes", name="Cakes")
    found = sheet(
        "products", "Product,Category,Servings,Packaging,Amount\nBites,Tarts,1,Cake box,1/12\nTart,Tarts,no,,\n"
    )
    assert problems(found) == [["Servings: Enter a whole number from 1 to 10000."]]
    take(found)
    assert Packaging.objects.get().amount == "1/12 each"


def test_a_changed_customer_names_what_was_and_what_is(sheet: Sheet) -> None:
    take(sheet("customers", "Name,E-mail,Phone\nIda Holm,ida@holm.example,555-0100\n"))
    found = sheet("customers", "Name,E-mail,Phone,Address\nIda Holm,ida@holm.example,555-0199,1 Elm\n")
    assert items_shown(found.plan["items"])[0].details == "Phone: “555-0199” instead of “555-0100”; Address: “1 Elm”"


def test_an_address_that_differs_by_case_alone_is_no_change(sheet: Sheet) -> None:
    take(sheet("customers", "Name,E-mail,Phone\nIda Holm,ida@holm.example,555-0100\n"))
    found = sheet("customers", "Name,E-mail,Phone\nIda Holm,Ida@Holm.Example,555-0100\n")
    assert [item["change"] for item in found.plan["items"]] == ["same"]


def test_a_customer_of_the_same_phone_with_a_slip_in_the_name_is_asked_about(sheet: Sheet) -> None:
    Customer.objects.create(name="Ida Fenwick", phone="(555) 0188", created_at=AT)
    found = sheet("customers", "Name,Phone\nIda Fenwik,555 0188\nMarit Lind,555 0177\n")
    (question,) = questions_shown(found, most=5)
    assert question.words == "Is “Ida Fenwik” your Ida Fenwick, who is there already?"


def test_products_without_a_column_of_categories_get_one_for_all_or_each_its_own(sheet: Sheet) -> None:
    TaxCategory.objects.create(code="cakes", name="Cakes")
    found = sheet("products", "Product,Servings\nBites,1\nTart,8\nRound,10\n")
    (question,) = questions_shown(found, most=9)
    assert (question.rows, question.choices, question.label) == ("2, 3, 4", [], "Category")
    rows, _ = rows_shown(found, {}, most=9)
    assert [[cell.key for cell in row.cells if cell.wrong] for row in rows] == [["category"]] * 3
    correct(found, {3: {"category": "Tarts"}})
    assert plan(again(found)) == {"Bites": "waits", "Tart": "new", "Round": "waits"}
    correct(again(found), answers={"category": "is:Small things"})
    take(again(found))
    assert dict(Product.objects.values_list("name", "category")) == {
        "Bites": "Small things",
        "Tart": "Tarts",
        "Round": "Small things",
    }


def test_how_something_is_sold_is_not_how_many_are_sold_together(sheet: Sheet) -> None:
    TaxCategory.objects.create(code="cakes", name="Cakes")
    found = sheet("products", "Dessert,Category,Serves,Sold by\nTart,Tarts,8,the slice\n")
    assert (columns_unread(found), problems(found)) == (["Sold by"], [])
