"""What a recipe's row says it makes: a weight gives the loss, anything else is named as a note."""

from decimal import Decimal

from catalog.recipes.models import Recipe
from catalog.spreadsheets.presenters import items_shown, rows_shown
from tests.integration.catalog.spreadsheets.conftest import Sheet
from tests.integration.catalog.spreadsheets.test_recipes import correct, plan, take

HEADS = "Recipe,Makes,Amount,Ingredient\n"


def test_a_weight_gives_the_loss_with_what_goes_in(sheet: Sheet) -> None:
    found = sheet("recipes", HEADS + "Reduced milk,500 g,1 kg,Milk\nReduced milk,,200 g,Flour\n")
    assert "loss worked out: makes 500 g of 1200 g" in items_shown(found.plan["items"])[0].details.replace(",", "")
    take(found)
    recipe = Recipe.objects.get()
    assert (recipe.loss, recipe.loss_of, recipe.note) == (Decimal("0.583333"), "water", "Yield: 500 g")
    assert plan(sheet("recipes", HEADS + "Reduced milk,500 g,1 kg,Milk\nReduced milk,,200 g,Flour\n")) == {
        "Reduced milk": "same"
    }


def test_cups_and_pieces_are_weighed_for_it(sheet: Sheet) -> None:
    found = sheet("recipes", HEADS + "Batter,600 g,4 ea,Eggs\nBatter,,500 ml,Milk\n")
    take(found)
    assert Recipe.objects.get().loss == Decimal("0.192463")  # 1 - 600 / (4 * 57 + 515)


def test_more_than_goes_in_is_a_problem_of_its_row_until_it_is_corrected(sheet: Sheet) -> None:
    found = sheet("recipes", HEADS + "Glaze,9 kg,100 g,Milk\n")
    rows, _ = rows_shown(found, {}, most=9)
    assert (rows[0].row, rows[0].wrong, plan(found)) == (2, {"yield"}, {"Glaze": "waits"})
    assert rows[0].problems[0].startswith("It makes 9 kg, and only 0.1 kg goes in.")
    assert correct(found, {2: {"yield": "90 g"}}) == 0
    take(found)
    assert Recipe.objects.get().loss == Decimal("0.1")


def test_rounding_of_ounces_is_no_loss_and_no_problem(sheet: Sheet) -> None:
    take(sheet("recipes", HEADS + "Glaze,1 lb,453 g,Milk\n"))
    assert Recipe.objects.get().loss == 0


def test_a_volume_or_a_count_is_named_as_a_note_only(sheet: Sheet) -> None:
    found = sheet("recipes", HEADS + "Glaze,2 cups,100 g,Milk\nTart,12 tarts,100 g,Flour\n")
    shown = [item.details for item in items_shown(found.plan["items"])]
    assert "yield “2 cups” is saved as a note only: it is not a weight" in shown[0]
    assert "yield “12 tarts” is saved as a note only: it is not a weight" in shown[1]
    take(found)
    assert {one.note for one in Recipe.objects.all()} == {"Yield: 2 cups", "Yield: 12 tarts"}


def test_a_loss_that_does_not_go_with_the_yield_is_asked_about(sheet: Sheet) -> None:
    found = sheet("recipes", "Recipe,Makes,Loss,Amount,Ingredient\nGlaze,50 g,10,100 g,Milk\nB,90 g,10,100 g,Milk\n")
    assert plan(found) == {"Glaze": "waits", "B": "new"}
    rows, _ = rows_shown(found, {}, most=9)
    assert "A loss of 10% does not go with a yield of 50 g." in rows[0].problems[0]
