"""A name that an import changes takes back what was answered "free" under the one before."""

from datetime import date
from decimal import Decimal

import pytest

from catalog.book.selectors import book_current
from catalog.pantry.free_by import RENAMED, WAS_FREE
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.products.declarations import declarations_of
from catalog.spreadsheets.imports import spreadsheet_undo
from tests.integration.catalog.spreadsheets.conftest import AT, Sheet
from tests.integration.catalog.spreadsheets.test_recipes import plan, take

BEFORE = {"hazelnuts": "free", "milk": "free", "soybeans": "may"}


def disc(**columns: object) -> Ingredient:
    """Make a sugar disc that is free of most."""
    facts = {"allergen_answers": BEFORE, "named_only": {"free_by": "label:Vole sugar disc"}, **columns}
    return Ingredient.objects.create(code="disc", name="Vole sugar disc", position=9, **facts)


@pytest.mark.parametrize("name", ["gianduia", "Kransekake", "Zorb sugar disc", "Hazelnuts", "Granulated sugar"])
def test_what_was_free_under_another_name_is_not_checked_any_more(sheet: Sheet, name: str) -> None:
    row = disc()
    found = sheet("ingredients", f"Code,Ingredient\ndisc,{name}\n")
    assert plan(found) == {"Vole sugar disc": "asked"}
    details = [detail["code"] for item in found.plan["items"] for detail in item["details"]]
    assert details == ["column", "free_lost"]
    take(found)
    row.refresh_from_db()
    assert (row.name, row.allergen_answers) == (name, {"soybeans": "may"})
    assert row.named_only == {RENAMED: "Vole sugar disc", WAS_FREE: "hazelnuts milk"}
    assert {"hazelnuts", "milk"} <= declarations_of(book_current()).of_ingredient("disc").unchecked


@pytest.mark.parametrize("name", ["Vole sugar-disc", "VOLE  sugar disc"])
def test_another_spelling_takes_nothing_back(sheet: Sheet, name: str) -> None:
    row = disc()
    take(sheet("ingredients", f"Code,Ingredient,Note\ndisc,{name},sweet\n"))
    row.refresh_from_db()
    assert row.allergen_answers == BEFORE


def test_what_touches_no_food_touches_it_under_a_name_that_is_no_packing(sheet: Sheet) -> None:
    row = disc(touches_food=False)
    take(sheet("ingredients", "Code,Ingredient\ndisc,Kransekake\n"))
    row.refresh_from_db()
    assert row.touches_food


def test_undoing_the_import_gives_the_old_name_its_answers_back(sheet: Sheet) -> None:
    row = disc()
    found = sheet("ingredients", "Code,Ingredient\ndisc,gianduia\n")
    take(found)
    assert spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT).left == []
    row.refresh_from_db()
    assert (row.name, row.allergen_answers) == ("Vole sugar disc", BEFORE)
    assert row.named_only == {"free_by": "label:Vole sugar disc"}


def test_answers_given_since_the_import_stay_where_it_is_undone(sheet: Sheet) -> None:
    row = disc()
    found = sheet("ingredients", "Code,Ingredient\ndisc,gianduia\n")
    take(found)
    Ingredient.objects.filter(pk=row.pk).update(allergens=["hazelnuts"])
    left = spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT).left
    assert [one.code for one in left] == ["ingredient_changed"]
    row.refresh_from_db()
    assert (row.name, row.allergens) == ("gianduia", ["hazelnuts"])


def test_another_supplier_and_what_a_note_names_take_free_back(sheet: Sheet) -> None:
    row = disc()
    seller = Supplier.objects.create(name="Harbor Dry Goods")
    Pack.objects.create(ingredient=row, size="1 kg", price=Decimal(9), starts=date(2026, 1, 5), supplier=seller)
    head, note = "Code,Ingredient,Pack,Price,Supplier,Note", "New good: may contain traces of milk"
    found = sheet("ingredients", f"{head}\ndisc,Vole sugar disc,1 kg,8,Mill Lane,{note}\n")
    details = [detail["code"] for item in found.plan["items"] for detail in item["details"]]
    assert {"free_lost_bought", "free_lost_note"} <= {*details}
    take(found)
    row.refresh_from_db()
    assert (row.allergen_answers, row.named_only[WAS_FREE]) == ({"soybeans": "may"}, "milk hazelnuts")
    assert spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT).left == []
    row.refresh_from_db()
    assert row.allergen_answers == BEFORE


def test_a_note_alone_takes_back_only_what_it_names(sheet: Sheet) -> None:
    row = disc()
    take(sheet("ingredients", "Code,Ingredient,Note\ndisc,Vole sugar disc,made beside milk\n"))
    row.refresh_from_db()
    assert row.allergen_answers == {"hazelnuts": "free", "soybeans": "may"}
