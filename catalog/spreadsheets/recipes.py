"""Recipes as rows of a spreadsheet, and back: one line a row."""

from typing import Final

from catalog.kitchen.selectors import kitchen
from catalog.recipes.models import Recipe, RecipeStep
from catalog.recipes.selectors import recipes_whole
from catalog.records.numbers import decimal_comma
from catalog.spreadsheets.amounts import amount_written
from catalog.spreadsheets.cells import measure_cell, number_cell, one_line
from catalog.spreadsheets.known import RECIPE, Pantry, folded, label_of, labelled
from catalog.spreadsheets.plan import Cell, Kind
from catalog.spreadsheets.recipe_plan import one_text, recipes_plan
from catalog.spreadsheets.recipe_rows import COLUMNS, recipe_lines
from catalog.spreadsheets.recipe_write import recipes_undo, recipes_write


def recipes_export() -> list[dict[str, Cell]]:
    """Return the lines of all recipes; what is said of a recipe as a whole stands in its first row."""
    pantry, labels = Pantry(), labelled(recipes_whole())
    names = {recipe.pk: label_of(label, recipe) for label, recipe in labels.items()}
    comma = decimal_comma(kitchen().locale)
    records: list[dict[str, Cell]] = []
    for recipe in labels.values():
        own = _rows(recipe, names, pantry, comma)
        first = own[0] if own else {}
        first |= {
            "loss": number_cell(recipe.loss * 100, comma=comma) if recipe.loss else None,
            "batch_limit": measure_cell(recipe.batch_limit, comma=comma),
            "batch_min": measure_cell(recipe.batch_min, comma=comma),
            "recipe_note": one_text(recipe.note),
            "steps": "\n".join(filter(None, (_step(step) for step in recipe.steps.all()))),
        }
        records += [{"recipe": names[recipe.pk], **row} for row in own or [first]]
    return records


def _rows(recipe: Recipe, names: dict[int, str], pantry: Pantry, comma: bool) -> list[dict[str, Cell]]:
    rows: list[dict[str, Cell]] = []
    for line in recipe.lines.all():
        if line.component_id:
            name = names[line.component_id]
            name += RECIPE if folded(name) in pantry.labels else ""
            rows.append({"amount": measure_cell(amount_written(line.amount, ""), comma=comma), "ingredient": name})
        elif line.ingredient_id:
            label = pantry.label_of[line.ingredient_id, line.part_id]
            thing = pantry.labels[folded(label)].subject.name
            amount = measure_cell(amount_written(line.amount, thing), comma=comma)
            rows.append({"amount": amount, "ingredient": label})
    return rows


def _step(step: RecipeStep) -> str:
    return one_line(step.text or step.name)


KIND: Final = Kind(
    columns=COLUMNS,
    lines=recipe_lines,
    plan=recipes_plan,
    write=recipes_write,
    undo=recipes_undo,
    export=recipes_export,
)
