"""What is exported comes back: unchanged it changes nothing, and in an empty kitchen it gives the same files again."""

import csv
import io
from datetime import date
from decimal import Decimal
from typing import Any, Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from catalog.pantry.models import Ingredient, Pack, Part, Supplier
from catalog.price_lists.heads import head_name
from catalog.products.models import Fill, Packaging, Product
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.spreadsheets.export_content import EXPORTED, HEADS, export_csv
from catalog.spreadsheets.imports import spreadsheet_import
from catalog.spreadsheets.kinds import kind_of
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.xlsx_export import export_xlsx
from catalog.taxes.models import TaxCategory
from orders.inquiries.models import Customer
from tests.integration.catalog.spreadsheets.conftest import AT, Sheet, upload

KINDS: Final = ("ingredients", "recipes", "products", "customers")


def furnish() -> None:
    """Add what each export holds, with names and texts that spreadsheets like to misread."""
    quayside = Supplier.objects.create(name="=Quayside")
    flour, milk = Ingredient.objects.get(code="flour"), Ingredient.objects.get(code="milk")
    for size, price, supplier in (("50 lb", "24.60", quayside), ("5 lb", "3.9", quayside), ("2 kg", "2", None)):
        Pack.objects.create(
            ingredient=flour, size=size, price=Decimal(price), starts=date(2026, 1, 1), supplier=supplier
        )
    Pack.objects.create(ingredient=flour, size="1 lb", price=1, starts=date(2025, 1, 1), ends=date(2025, 2, 1))
    lemons = Ingredient.objects.create(code="lemons", name="Lemons", grams_each=Decimal(108), position=9)
    Part.objects.create(ingredient=lemons, code="juice", share=Decimal("0.4"), density=Decimal("1.03"), joint="piece")
    Ingredient.objects.create(code="flour-2", name="flour", note="+1 of\n\n'=everything", position=10)
    curd = Recipe.objects.create(code="curd", name="Lemon curd", loss=Decimal("0.045"), note="-cold\nand slow")
    for place, (amount, one, part) in enumerate(
        (("8 oz", milk, None), ("1 1/2 cup", flour, None), ("12 fl_oz", milk, None), ("2 each", lemons, None),
         ("90 g", lemons, lemons.parts.get()))
    ):  # fmt: skip
        RecipeLine.objects.create(recipe=curd, ingredient=one, part=part, amount=amount, position=place)
    RecipeStep.objects.create(recipe=curd, name="Whisk", position=0)
    RecipeStep.objects.create(recipe=curd, name="Cook", text="Cook to 82 °C,\nstirring", kind="cook", position=1)
    tart = Recipe.objects.create(code="milk-recipe", name="Milk", batch_limit="6 kg", position=1)
    RecipeLine.objects.create(recipe=tart, component=curd, amount="1 lb")
    Recipe.objects.create(code="empty-note", name="@Tart", position=2)
    RecipeLine.objects.create(recipe=Recipe.objects.get(code="empty-note"), component=tart, amount="0.5 kg")
    tax = TaxCategory.objects.create(code="cakes", name="Cakes")
    TaxCategory.objects.create(code="none", name="")
    sold = Product.objects.create(
        code="tart", name="Tart, 8 in", category="Tarts", servings=8, list_price=Decimal("42.50"), tax=tax
    )
    Fill.objects.create(product=sold, recipe=curd, amount="0.4 kg")
    Fill.objects.create(product=sold, recipe=tart, amount="1 lb", position=1)
    Packaging.objects.create(product=sold, ingredient=Ingredient.objects.get(code="box"), amount="1 each")
    Customer.objects.create(name="Ida Holm", email="ida@holm.example", phone="+1 555 0100", created_at=AT)
    Customer.objects.create(
        name="-Gable House", address="1 Row\nTansy", country="US", kind="venue", tax_exempt=True, created_at=AT
    )


def clear() -> None:
    """Empty the kitchen of all that an export holds."""
    for model in (Product, RecipeLine, Recipe, Pack, Ingredient, Supplier, Customer, Spreadsheet):
        model.objects.all().delete()


def take_all(files: dict[str, bytes], name: str = "mine.csv") -> None:
    for kind in KINDS:
        found = upload(kind, files[kind], name)
        assert (found.plan.get("problems"), found.plan.get("questions")) == ([], []), kind
        spreadsheet_import(spreadsheet_id=found.pk, by="odile", at=AT)


def exported() -> dict[str, bytes]:
    return {kind: export_csv(kind) for kind in KINDS}


def table(body: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(body.decode("utf-8-sig"), newline="")))


def test_an_unchanged_export_changes_nothing(sheet: Sheet) -> None:
    furnish()
    for kind, body in exported().items():
        for content, name in ((body, "mine.csv"), (export_xlsx(kind, at=AT), "mine.xlsx")):
            found = sheet(kind, content, name)
            changes = {(item["name"], item["change"]) for item in found.plan["items"]}
            assert {change for _, change in changes} == {"same"}, (name, changes)
            assert (found.plan["problems"], found.plan["questions"]) == ([], []), name


def test_into_an_empty_kitchen_it_gives_the_same_files_again(sheet: Sheet) -> None:
    furnish()
    before = exported()
    workbooks = {kind: export_xlsx(kind, at=AT) for kind in KINDS}
    clear()
    take_all(before)
    assert exported() == before
    clear()
    take_all(workbooks, "mine.xlsx")
    assert exported() == before


def test_no_cell_starts_a_formula(sheet: Sheet) -> None:
    furnish()
    for kind, body in exported().items():
        cells = [cell for row in table(body) for cell in row]
        assert cells
        assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@")], kind
        for row in load_workbook(io.BytesIO(export_xlsx(kind, at=AT))).active.iter_rows():
            assert {cell.data_type for cell in row} <= {"s", "n"}


@pytest.mark.parametrize("kind", KINDS)
def test_every_head_of_an_export_is_known_to_its_import(kind: str) -> None:
    heads = {column.key: column.heads for column in kind_of(kind).columns}
    assert all(head_name(HEADS[key]) in heads[key] for key in EXPORTED[kind])


_NAMES = st.text(alphabet="Aa bß'=+-@,;\"é7[]", min_size=1, max_size=8).map(str.strip).filter(bool)
_AMOUNTS = st.sampled_from(["250 g", "1 1/2 lb", "8 oz", "0.333 kg", "3 each", "2 tbsp", "1/3 cup", "4 fl_oz"])


@st.composite
def _kitchens(draw: Any) -> tuple[list[str], list[tuple[str, str, list[tuple[str, int]]]]]:
    """Draw names of ingredients, and recipes: name, note, lines of an amount and the place of an ingredient."""
    goods = draw(st.lists(_NAMES, min_size=1, max_size=4))
    lines = st.lists(st.tuples(_AMOUNTS, st.integers(0, len(goods) - 1)), min_size=1, max_size=4)
    return goods, draw(st.lists(st.tuples(_NAMES, st.text("ab\n=- '", max_size=9), lines), min_size=1, max_size=4))


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(kitchen=_kitchens())
def test_any_kitchen_comes_back_byte_for_byte(sheet: Sheet, kitchen: Any) -> None:
    clear()
    goods, recipes = kitchen
    made = [
        Ingredient.objects.create(
            code=f"good-{at}", name=name, density=Decimal("1.1"), grams_each=Decimal(50), position=at
        )
        for at, name in enumerate(goods)
    ]
    for at, (name, note, lines) in enumerate(recipes):
        recipe = Recipe.objects.create(code=f"recipe-{at}", name=name, note=note, position=at)
        for place, (amount, good) in enumerate(lines):
            RecipeLine.objects.create(recipe=recipe, ingredient=made[good], amount=amount, position=place)
    before = {kind: export_csv(kind) for kind in ("ingredients", "recipes")}
    clear()
    for kind, body in before.items():
        found = upload(kind, body)
        assert (found.plan.get("problems"), found.plan.get("questions")) == ([], []), body.decode()
        spreadsheet_import(spreadsheet_id=found.pk, by="odile", at=AT)
    assert {kind: export_csv(kind) for kind in before} == before
