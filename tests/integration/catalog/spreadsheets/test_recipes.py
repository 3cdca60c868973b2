"""Recipes from the owner's spreadsheet: read, corrected, imported, undone."""

import time
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.pantry.models import Ingredient, Part
from catalog.recipes.models import Recipe, RecipeLine
from catalog.records.errors import SpreadsheetNotReady
from catalog.spreadsheets.imports import spreadsheet_import, spreadsheet_undo
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.presenters import (
    decisions_shown,
    items_shown,
    questions_shown,
    remembered_shown,
    rows_shown,
)
from catalog.spreadsheets.selectors import names_offered
from catalog.spreadsheets.services import spreadsheet_choose, spreadsheet_correct
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.spreadsheets.conftest import AT, Sheet

BOOK = """Odile's recipes,,,,

Recipe,Qty,Unit,Ingredient,Note
TARTS,,,,
Almond tart,2,sticks,"Butter, unsalted",softened
,1 1/2,c,Flour,
,300,g,Pastry cream,

Pastry cream,8,oz by volume,Milk,
,3,ea,Eggs,
"""


def again(found: Spreadsheet) -> Spreadsheet:
    return Spreadsheet.objects.get(pk=found.pk)


def plan(found: Spreadsheet) -> dict[str, str]:
    return {item["name"]: item["change"] for item in found.plan["items"]}


def take(found: Spreadsheet) -> int:
    """Import a file; what is there already is replaced."""
    if any(item["change"] == "asked" for item in again(found).plan["items"]):
        correct(found, undecided="replace")
    return spreadsheet_import(spreadsheet_id=found.pk, by="odile", at=AT)


def correct(found: Spreadsheet, cells: dict[int, dict[str, str]] | None = None, **more: Any) -> int:
    answers = more.pop("answers", {})
    return spreadsheet_correct(spreadsheet_id=found.pk, seen=None, cells=cells or {}, answers=answers, **more)


def lines(name: str) -> list[tuple[str, str]]:
    rows = RecipeLine.objects.filter(recipe__name=name).order_by("position")
    return [(line.amount, str(line.ingredient or line.component)) for line in rows]


def test_lines_are_grouped_by_recipe_with_titles_and_forward_references(sheet: Sheet) -> None:
    found = sheet("recipes", BOOK)
    assert found.status == "read"
    assert (plan(found), found.plan["problems"], found.plan["questions"]) == (
        {"Almond tart": "new", "Pastry cream": "new"}, [], [],
    )  # fmt: skip
    assert items_shown(found.plan["items"])[0].details == "8 oz Butter, unsalted, 1 1/2 cup Flour, 300 g Pastry cream"
    assert take(found) == 2
    assert lines("Almond tart") == [("8 oz", "Butter, unsalted"), ("1 1/2 cup", "Flour"), ("300 g", "Pastry cream")]
    assert lines("Pastry cream") == [("8 fl_oz", "Milk"), ("3 each", "Eggs")]
    assert Recipe.objects.get(name="Almond tart").note == "Butter, unsalted: softened"


def test_the_same_file_changes_nothing_the_second_time(sheet: Sheet) -> None:
    take(sheet("recipes", BOOK))
    found = sheet("recipes", BOOK)
    assert plan(found) == {"Almond tart": "same", "Pastry cream": "same"}
    with pytest.raises(SpreadsheetNotReady):
        take(found)


def test_a_changed_amount_changes_one_recipe(sheet: Sheet) -> None:
    take(sheet("recipes", BOOK))
    found = sheet("recipes", BOOK.replace("1 1/2,c", "2,c"))
    assert plan(found) == {"Almond tart": "asked", "Pastry cream": "same"}
    assert items_shown(found.plan["items"])[0].details == "other amount: Flour"
    take(found)
    assert lines("Almond tart")[1] == ("2 cup", "Flour")


def test_good_recipes_are_taken_and_the_rows_of_the_others_are_corrected(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nSponge,250 g,Flour\nSponge,,Eggs\nGlaze,2 flurbs,Milk\n"
                             "Dough,500 g,Flour\n")  # fmt: skip
    assert plan(found) == {"Sponge": "waits", "Glaze": "waits", "Dough": "new"}
    rows, more = rows_shown(found, {}, most=50)
    assert [(row.row, row.wrong, more) for row in rows] == [(3, {"amount"}, 0), (4, {"amount"}, 0)]
    assert rows[0].problems == ["The row has no amount. Enter one, such as 250 g or 1 1/2 cup."]
    assert take(found) == 1
    assert correct(found, {3: {"amount": "2 ea"}, 4: {"amount": "200 ml"}}) == 0
    assert take(found) == 2
    assert sorted(Recipe.objects.values_list("name", flat=True)) == ["Dough", "Glaze", "Sponge"]
    assert [item["name"] for item in again(found).plan["done"]] == ["Dough", "Sponge", "Glaze"]


def test_ounces_of_milk_are_asked_about_once_for_all_rows(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,8 oz,Milk\nB,4 oz.,Milk\nB,4 oz,Flour\nC,2,Eggs\n")
    asked = questions_shown(found, most=9)
    assert [(one.words, one.rows) for one in asked] == [
        ("Are ounces of Milk a weight or a volume?", "2, 3"),
        ("Eggs has an amount without a unit. What is counted or measured?", "5"),
    ]
    assert set(plan(found).values()) == {"waits"}
    assert correct(found, answers={"oz:milk": "volume", "bare:eggs": "each"}) == 0
    take(found)
    assert (lines("A"), lines("B")[1], lines("C")) == ([("8 fl_oz", "Milk")], ("4 oz", "Flour"), [("2 each", "Eggs")])


def test_unknown_names_are_added_or_named_once(sheet: Sheet) -> None:
    found = sheet(
        "recipes", "Recipe,Amount,Ingredient\nA,8 g,Xanthan\nB,4 g,xanthan\nB,9 g,Unsalted butter\nC,1 g,Fl.\n"
    )
    asked = {one.key: one.words for one in questions_shown(found, most=9)}
    assert asked["name:unsalted butter"] == "Is “Unsalted butter” your Butter, unsalted?"
    answers = {"name:unsalted butter": "same", "name:fl.": "is:Flour", "name:xanthan": "add"}
    assert correct(found, answers=answers) == 0
    take(found)
    assert lines("B") == [("4 g", "Xanthan"), ("9 g", "Butter, unsalted")]
    assert (lines("C"), Ingredient.objects.filter(name__iexact="xanthan").count()) == ([("1 g", "Flour")], 1)


def test_all_unknown_names_become_ingredients_with_one_button(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,8 g,Xanthan\nA,4 g,Isomalt\n")
    assert correct(found, add_unknown=True) == 0
    take(found)
    assert lines("A") == [("8 g", "Xanthan"), ("4 g", "Isomalt")]


def test_a_loop_is_named(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,8 g,B\nB,4 g,C\nC,1 g,A\nD,1 g,Flour\n")
    assert plan(found) == {"A": "waits", "B": "waits", "C": "waits", "D": "new"}
    rows, _ = rows_shown(found, {}, most=50)
    assert rows[0].problems == ["A recipe cannot need itself: A → B → C → A. Correct one of these lines."]


def test_a_recipe_waits_for_the_one_it_uses(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,8 g,B\nB,4 flurbs,Flour\n")
    shown = {item.name: (item.change, item.details) for item in items_shown(found.plan["items"])}
    assert shown == {"A": ("waits", "waits for B"), "B": ("waits", "")}


@pytest.mark.parametrize(
    ("amount", "name", "problem"),
    [
        ("2027-01-02 00:00:00", "Flour", "The spreadsheet made a date of the amount (2027-01-02). Enter the amount as"
         " it was, such as 1/2 cup."),
        ("1 cup", "Eggs", "Eggs has no density, so a volume cannot be converted to a weight. Enter the density on its"
         " page, or a weight here."),
        ("1 each", "Cake box", "Cake box is only counted and cannot go into a recipe. Use it as packaging."),
        ("2 sticks", "Flour", "“2 sticks”: a stick of butter is 4 oz or 1/2 cup. Write one of these, so that it is"
         " nothing else."),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be_used_says_the_fix(sheet: Sheet, amount: str, name: str, problem: str) -> None:
    found = sheet("recipes", f"Recipe,Amount,Ingredient\nA,{amount},{name}\n")
    rows, _ = rows_shown(found, {}, most=50)
    assert [row.problems for row in rows] == [[problem]]


def test_undoing_removes_what_nobody_uses_and_puts_back_what_was_changed(sheet: Sheet) -> None:
    take(sheet("recipes", BOOK))
    found = sheet("recipes", BOOK.replace("1 1/2,c", "2,c") + "Brittle,90 g,,Isomalt\n")
    correct(found, add_unknown=True)
    take(found)
    undone = spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT)
    assert (undone.records, undone.left) == (2, [])
    assert lines("Almond tart")[1] == ("1 1/2 cup", "Flour")
    assert not Recipe.objects.filter(name="Brittle").exists()
    assert not Ingredient.objects.filter(name="Isomalt").exists()
    assert plan(again(found))["Brittle"] == "new"


def test_undoing_leaves_what_was_changed_or_used_since(sheet: Sheet) -> None:
    found = sheet("recipes", BOOK + "Brittle,90 g,,Flour\n")
    take(found)
    own = Recipe.objects.create(code="own", name="Own")
    RecipeLine.objects.create(recipe=own, component=Recipe.objects.get(name="Pastry cream"), amount="10 g")
    Recipe.objects.filter(name="Brittle").update(note="mine")
    undone = spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=datetime(2026, 11, 3, tzinfo=UTC))
    assert [(reason.code, reason.params["name"]) for reason in undone.left] == [
        ("recipe_changed", "Brittle"),
        ("recipe_used", "Pastry cream"),
    ]
    assert set(Recipe.objects.values_list("name", flat=True)) == {"Brittle", "Own", "Pastry cream"}


def test_nothing_is_imported_that_was_not_shown(sheet: Sheet) -> None:
    found = sheet("recipes", BOOK)
    Recipe.objects.create(code="almond", name="Almond tart")
    with pytest.raises(SpreadsheetNotReady) as refusal:
        take(found)
    assert refusal.value.params["why"].code == "file_overtaken"


def test_columns_are_chosen_and_remembered(sheet: Sheet) -> None:
    text = "Was,Wieviel,Wovon\nTeig,200 g,Flour\n"
    found = sheet("recipes", text)
    assert found.status == "choose"
    places = {"recipe": 0, "amount": 1, "ingredient": 2}
    spreadsheet_choose(spreadsheet_id=found.pk, seen=found.step, places=places, head_row=1)
    assert plan(again(found)) == {"Teig": "new"}
    assert plan(sheet("recipes", text)) == {"Teig": "new"}


def test_sixty_recipes_take_a_fixed_number_of_queries(sheet: Sheet, django_assert_max_num_queries: Any) -> None:
    rows = [f"Recipe {n},{n + 1} g,Flour\nRecipe {n},2 each,Eggs" for n in range(60)]
    found = sheet("recipes", "\n".join(["Recipe,Amount,Ingredient", *rows]))
    with django_assert_max_num_queries(45):
        assert take(found) == 60
    with django_assert_max_num_queries(45):
        assert spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT).records == 60


@pytest.mark.parametrize("ends", ["Recipe 0", "Flour"])
def test_a_chain_of_a_thousand_recipes_is_compared_in_a_moment(sheet: Sheet, ends: str) -> None:
    rows = [f"Recipe {n},1 g,Recipe {n + 1}" for n in range(1000)]
    began = time.process_time()
    found = sheet("recipes", "\n".join(["Recipe,Amount,Ingredient", *rows, f"Recipe 1000,1 g,{ends}"]))
    assert time.process_time() - began < 5
    assert set(plan(found).values()) == ({"waits"} if ends == "Recipe 0" else {"new"})
    assert len(found.plan["problems"]) == (1 if ends == "Recipe 0" else 0)


def test_many_loops_are_not_all_named(sheet: Sheet) -> None:
    rows = [f"A{n},1 g,B{n}\nB{n},1 g,A{n}" for n in range(50)]
    found = sheet("recipes", "\n".join(["Recipe,Amount,Ingredient", *rows]))
    assert set(plan(found).values()) == {"waits"}
    codes = [problem["reason"]["code"] for problem in found.plan["problems"]]
    assert (codes.count("loop"), codes.count("more_loops")) == (20, 60)


def test_one_fault_of_an_ingredient_is_named_once_for_all_its_rows(sheet: Sheet) -> None:
    Ingredient.objects.create(code="salt", name="Salt, kosher", position=7)
    rows = "".join(f'Cake {n},1,tsp,"Salt, kosher"\n' for n in range(3))
    found = sheet("recipes", f"Recipe,Qty,Unit,Ingredient\n{rows}")
    shown = [" ".join(row.problems) for row in rows_shown(found, {}, most=50)[0]]
    assert shown[0].startswith("Salt, kosher has no density")
    assert shown[0].endswith("The same holds for rows 3, 4.")
    assert shown[1:] == ["The same as in row 2."] * 2


def test_sticks_are_read_with_a_fraction_sign_after_a_whole_number(sheet: Sheet) -> None:
    found = sheet("recipes", 'Recipe,Qty,Ingredient\nCake,1 ½ sticks,"Butter, unsalted"\nCake,.67 cup,Flour\n')
    assert found.plan["problems"] == []
    take(found)
    assert lines("Cake") == [("6 oz", "Butter, unsalted"), ("0.67 cup", "Flour")]


def asked(found: Spreadsheet) -> dict[str, str]:
    return {one["params"]["item"]: one["params"].get("name", "") for one in again(found).plan["questions"]}


def test_a_misspelled_recipe_is_proposed_and_taken_by_its_name(sheet: Sheet) -> None:
    text = "Recipe,Amount,Ingredient\nPlum jelly,1 lb,Flour\nTart,1 lb,Plum jellly\n,2 lb,Plm filling\n,12 each,yolks\n"
    Part.objects.create(ingredient=Ingredient.objects.get(code="eggs"), code="yolk", share="0.35", grams_each=18)
    found = sheet("recipes", text)
    assert asked(found) == {"Plum jellly": "Plum jelly", "Plm filling": "", "yolks": "Eggs: yolk"}
    assert "Plum jelly" in names_offered(found)
    assert "Eggs: yolk" in names_offered(found)
    correct(found, answers={"name:plm filling": "is:Plum jelly"}, add_unknown=True)
    # What is near to a name is not added without a question.
    assert asked(found) == {"Plum jellly": "Plum jelly", "yolks": "Eggs: yolk"}
    correct(found, answers={"name:plum jellly": "same", "name:yolks": "same"})
    assert asked(again(found)) == {}
    assert take(again(found)) == 2
    assert lines("Tart") == [("1 lb", "Plum jelly"), ("2 lb", "Plum jelly"), ("12 each", "Eggs")]


def test_an_answer_that_names_nothing_stays_with_a_sentence(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nTart,1 lb,Zzz\n")
    correct(found, answers={"name:zzz": "is:Nobody's jam"})
    (question,) = questions_shown(again(found), most=5)
    assert question.entered == "Nobody's jam"
    assert "“Nobody's jam” is not the name of anything here." in question.nothing


def test_changed_lines_take_back_that_it_is_safe_at_room_temperature_and_undoing_gives_it_back(sheet: Sheet) -> None:
    take(sheet("recipes", "Recipe,Amount,Ingredient\nSponge,250 g,Flour\n"))
    Recipe.objects.update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
    found = sheet("recipes", "Recipe,Amount,Ingredient\nSponge,250 g,Flour\nSponge,1 kg,Milk\n")
    assert "no longer counts as safe at room temperature" in items_shown(found.plan["items"])[0].details
    take(found)
    recipe = Recipe.objects.get()
    assert (recipe.shelf_stable, recipe.shelf_stable_source) == (False, "Alder laboratory, report 7")
    spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT)
    assert Recipe.objects.get().shelf_stable


def test_a_recipe_that_is_there_already_is_replaced_only_where_its_owner_says_so(sheet: Sheet) -> None:
    take(sheet("recipes", "Recipe,Amount,Ingredient\nSponge,250 g,Flour\nGlaze,100 g,Milk\n"))
    found = sheet("recipes", "Recipe,Amount,Ingredient\nSponge,300 g,Flour\nGlaze,900 g,Milk\nDough,1 kg,Flour\n")
    assert plan(found) == {"Sponge": "asked", "Glaze": "asked", "Dough": "new"}
    first, second = decisions_shown(found, most=9)
    assert (first.words, first.rows, first.chosen) == ("Sponge is there already: other amount: Flour.", "2", "")
    correct(found, answers={first.key: "replace", second.key: "leave"})
    assert plan(again(found)) == {"Sponge": "change", "Glaze": "left", "Dough": "new"}
    assert spreadsheet_import(spreadsheet_id=found.pk, by="odile", at=AT) == 2
    assert (lines("Sponge"), lines("Glaze")) == ([("300 g", "Flour")], [("100 g", "Milk")])


def test_what_is_not_decided_is_not_imported_and_the_page_counts_and_asks(sheet: Sheet, client: Client) -> None:
    take(sheet("recipes", "Recipe,Amount,Ingredient\nSponge,250 g,Flour\nGlaze,100 g,Milk\n"))
    found = sheet("recipes", "Recipe,Amount,Ingredient\nSponge,300 g,Flour\nGlaze,900 g,Milk\n")
    with pytest.raises(SpreadsheetNotReady):
        spreadsheet_import(spreadsheet_id=found.pk, by="odile", at=AT)
    user_make()
    client.login(username="maren", password=PASSWORD)
    address = reverse("spreadsheet", args=[found.pk])
    shown = client.get(address).content.decode()
    assert "Replace all 2" in shown
    assert "Import 2" not in shown
    client.post(reverse("spreadsheet-correct", args=[found.pk]), {"step": found.step, "do": "replace-all"})
    assert "Import 2 records" in client.get(address).content.decode()


def test_names_that_were_answered_are_known_in_the_next_file_and_can_be_answered_otherwise(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,9 g,Unsalted butter\nA,1 g,Fl.\n")
    correct(found, answers={"name:unsalted butter": "same", "name:fl.": "is:Flour"})
    take(found)
    second = sheet("recipes", "Recipe,Amount,Ingredient\nB,4 g,Unsalted butter\nB,2 g,FL.\n")
    assert (plan(second), second.plan["questions"]) == ({"B": "new"}, [])
    known = remembered_shown(second)
    assert known[0].words == "“fl.” is read as Flour, as in an earlier file."
    correct(second, answers={"name:fl.": "is:Milk"})
    take(again(second))
    assert lines("B") == [("4 g", "Butter, unsalted"), ("2 g", "Milk")]


def test_names_of_a_file_that_was_not_imported_are_asked_again(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,1 g,Fl.\n")
    correct(found, answers={"name:fl.": "is:Flour"})
    assert sheet("recipes", "Recipe,Amount,Ingredient\nB,1 g,Fl.\n").plan["questions"]


def test_sticks_of_what_is_not_known_yet_are_only_asked_for_the_name(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,2 sticks,Beurre sec\n")
    assert (found.plan["problems"], len(found.plan["questions"])) == ([], 1)
    correct(found, answers={"name:beurre sec": "is:Butter, unsalted"})
    assert take(again(found)) == 1


def test_almond_flour_of_the_common_list_has_a_sourced_weight_of_a_cup(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,1 1/2 c,Almond flour\n")
    correct(found, answers={"name:almond flour": "add"})
    assert again(found).plan["problems"] == []
    take(again(found))
    flour = Ingredient.objects.get(name="Almond flour")
    # USDA SR28, almonds (12061): 1 cup, ground, is 95 g.
    assert round(float(flour.density or 0) * 236.588) == 95
    assert "12061" in flour.source


def test_a_density_that_was_entered_elsewhere_is_seen_when_the_page_is_opened(sheet: Sheet, client: Client) -> None:
    cream = Ingredient.objects.create(code="cream", name="Cream")
    found = sheet("recipes", "Recipe,Amount,Ingredient\nA,1 c,Cream\n")
    assert len(found.plan["problems"]) == 1
    user_make()
    client.login(username="maren", password=PASSWORD)
    address = reverse("spreadsheet", args=[found.pk])
    assert "has no density" in client.get(address).content.decode()
    step = again(found).step
    cream.density = Decimal("0.99")
    cream.save()
    shown = client.get(address).content.decode()
    assert "has no density" not in shown
    assert "Import 1 record" in shown
    assert again(found).step == step + 1
