"""Rows of recipes: one line of a recipe a row, grouped by the recipe's name."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from catalog.price_lists.comparison import unweighable
from catalog.price_lists.names import tidy
from catalog.records.near_names import NearIndex
from catalog.records.numbers import number_read
from catalog.records.reasons import Reason
from catalog.spreadsheets.amounts import Asked, Unread, amount_read, is_sticks
from catalog.spreadsheets.columns import Column, Line
from catalog.spreadsheets.known import RECIPE, Coded, Good, Pantry, folded
from catalog.spreadsheets.plan import Answers, Plan
from costing.measures.figures import NumberFormat, TwoReadings
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.spelling import normalise_measure

COLUMNS: Final = (
    Column("recipe", ("recipe", "recipe_name", "rezept", "component", "preparation", "formula", "dish")),
    Column("amount", ("amount", "menge", "qty", "quantity", "measure", "amt", "weight", "how_much"), needed=True),
    Column("unit", ("unit", "einheit", "uom", "units", "unit_measure")),
    Column(
        "ingredient",
        ("ingredient", "ingredients", "zutat", "zutaten", "item", "description", "ingredient_or_recipe"),
        needed=True,
    ),
    Column(
        "note", ("note", "notes", "line_note", "prep", "comment", "comments", "remark", "notiz", "notizen", "bemerkung")
    ),
    Column("yield", ("yield", "yields", "makes")),
    Column("loss", ("loss", "loss_percent", "cooking_loss")),
    Column("batch_limit", ("maximum_batch", "max_batch")),
    Column("batch_min", ("minimum_batch", "min_batch")),
    Column("recipe_note", ("recipe_note", "recipe_notes")),
    Column("steps", ("steps", "step", "method", "procedure", "instructions", "directions")),
)
#: Columns that say something of the recipe as a whole.
HEAD: Final = ("yield", "loss", "batch_limit", "batch_min", "recipe_note", "steps")


def recipe_lines(lines: list[Line]) -> list[Line]:
    """Return lines that each name their recipe: a name stands for the rows below it too.

    A row with a name and nothing else is a title; without a column of recipes, a row with only an ingredient is one.
    """
    held: list[Line] = []
    current = ""
    for line in lines:
        cells = line["cells"]
        filled = [key for key, text in cells.items() if text]
        if filled == ["recipe"] or (filled == ["ingredient"] and "recipe" not in cells):
            current = cells[filled[0]]
            continue
        current = cells.get("recipe") or current
        held.append({**line, "cells": {"recipe": current, **{key: cells[key] for key in cells if key != "recipe"}}})
    return held


@dataclass(frozen=True, slots=True)
class LineRead:
    """A line: its row, its amount in the exact grammar, and an ingredient or else the folded name of a recipe."""

    row: int
    amount: str
    good: Good | None = None
    recipe: str = ""
    #: The recipe as the row spells it.
    spelled: str = ""


@dataclass(slots=True)
class RecipeRead:
    """A recipe as its rows have it; what no row says is empty."""

    name: str
    rows: list[int] = field(default_factory=list)
    lines: list[LineRead] = field(default_factory=list)
    head: dict[str, str] = field(default_factory=dict)
    loss: Decimal | None = None
    #: Rows in which what is in ``head`` stands first.
    head_rows: dict[str, int] = field(default_factory=dict)
    #: What became of its yield; None where it has none.
    yields: Reason | None = None
    notes: list[str] = field(default_factory=list)


class RecipeReader:
    """Reads the rows of all recipes; what is wrong or has to be asked goes into the plan."""

    def __init__(
        self, plan: Plan, pantry: Pantry, stored: Mapping[str, Coded], answers: Answers, written: NumberFormat
    ) -> None:
        self.plan, self.pantry, self.stored, self.answers, self.written = plan, pantry, stored, answers, written
        self.recipes: dict[str, RecipeRead] = {}
        self._near: NearIndex[str] = NearIndex()

    def read(self, lines: Sequence[Line]) -> dict[str, RecipeRead]:
        """Return the recipes by their folded names, in the order of the file."""
        for line in lines:
            name = " ".join(line["cells"].get("recipe", "").split()).removesuffix(RECIPE)
            self.recipes.setdefault(folded(name), RecipeRead(name)).rows.append(line["row"])
        for label in dict.fromkeys((*self.recipes, *self.stored)):
            self._near.add(label, label)
        for line in lines:
            self._row(self.recipes[folded(line["cells"].get("recipe", "").removesuffix(RECIPE))], line)
        return self.recipes

    def _row(self, recipe: RecipeRead, line: Line) -> None:
        row, cells = line["row"], line["cells"]
        if not recipe.name:
            self.plan.problem(row, "recipe", "no_recipe")
        elif len(recipe.name) > 500:
            self.plan.problem(row, "recipe", "too_long", most=500)
        self._head(recipe, row, cells)
        name = cells.get("ingredient", "")
        has_amount = bool(cells.get("amount") or cells.get("unit"))
        if name:
            self._line(recipe, row, name, cells)
        elif has_amount:
            self.plan.problem(row, "ingredient", "no_ingredient")
        if name and cells.get("note"):
            recipe.notes.append(f"{name}: {cells['note']}")

    def _head(self, recipe: RecipeRead, row: int, cells: Mapping[str, str]) -> None:
        for key in HEAD:
            text = cells.get(key, "")
            if not text:
                continue
            recipe.head_rows.setdefault(key, row)
            if recipe.head.setdefault(key, text) != text:
                self.plan.problem(row, key, "two_values", other=recipe.head[key][:60])
            elif key == "loss":
                self._loss(recipe, row, text)
            elif key.startswith("batch"):
                self._batch(recipe, row, key, text)

    def _loss(self, recipe: RecipeRead, row: int, text: str) -> None:
        try:
            number = number_read(text, written=self.written)
        except TwoReadings as two:
            self.plan.problem(row, "loss", "two_readings", **two.params)
            return
        if number is None or not 0 <= number <= 99:
            self.plan.problem(row, "loss", "not_a_percentage")
        else:
            recipe.loss = number / 100

    def _batch(self, recipe: RecipeRead, row: int, key: str, text: str) -> None:
        try:
            recipe.head[key] = normalise_measure(text, self.written)
        except MeasureError as error:
            self.plan.problem(row, key, "measure", text=error.on_screen())
            return
        if parse_measure(recipe.head[key]).kind != "mass":
            self.plan.problem(row, key, "not_a_mass", text=text)

    def _line(self, recipe: RecipeRead, row: int, name: str, cells: Mapping[str, str]) -> None:
        target = self._target(name)
        if isinstance(target, Good):
            self._good_line(recipe, row, target, self._amount(row, name, cells, target.subject.name))
        elif target.startswith("recipe:"):
            amount = self._amount(row, name, cells, "")
            if amount and parse_measure(amount).kind != "mass":
                self.plan.problem(row, "amount", "recipe_not_weighed", name=name, text=amount.replace("_", " "))
            elif amount:
                recipe.lines.append(LineRead(row, amount, recipe=target.removeprefix("recipe:"), spelled=name))
        else:
            self._ask_name(target, name, row)
            # Whether sticks can be read depends on what it is.
            if not is_sticks(cells.get("amount", ""), cells.get("unit", "")):
                self._amount(row, name, cells, "")

    def _good_line(self, recipe: RecipeRead, row: int, good: Good, amount: str) -> None:
        if good.subject.base == "each":
            self.plan.problem(row, "ingredient", "not_in_recipe", name=good.subject.name)
        elif amount:
            wrong = list(unweighable(good.subject, parse_measure(amount).kind))
            for reason in wrong:
                self.plan.problem(row, "amount", reason.code, name=good.subject.name)
            if not wrong:
                recipe.lines.append(LineRead(row, amount, good))

    def _target(self, text: str) -> Good | str:
        """Return an ingredient, ``recipe:`` with the folded name of a recipe, or the open question.

        The owner's answer is ``add``, ``same`` (the similar one that was asked about) or ``is:`` with a name.
        """
        known, answer = self._known(text), self.answers.get(f"name:{tidy(text)}", "")
        if known is not None:
            return known
        if answer == "add":
            return self.pantry.added(text)
        likely = self._likely(text)
        meant = likely if answer == "same" else answer.removeprefix("is:") if answer.startswith("is:") else ""
        return (self._known(meant) if meant else None) or ("likely" if likely else "unknown")

    def _known(self, text: str) -> Good | str | None:
        """Return what goes by a name: an ingredient, or a recipe of the kitchen or of this file."""
        good = None if text.casefold().endswith(RECIPE) else self.pantry.labels.get(folded(text))
        if good is not None:
            return good
        name = folded(text).removesuffix(RECIPE)
        if name in self.recipes or name in self.stored:
            return f"recipe:{name}"
        return self.pantry.named(text)

    def _likely(self, text: str) -> str:
        """Return the name of what a text may mean; empty for none."""
        if label := self.pantry.likely(text):
            return label
        recipe = self._near.find(text.casefold().removesuffix(RECIPE))
        if recipe is None:
            return ""
        return self.recipes[recipe].name if recipe in self.recipes else " ".join(self.stored[recipe].name.split())

    def _ask_name(self, code: str, name: str, row: int) -> None:
        params = {"item": name, "name": self._likely(name)} if code == "likely" else {"item": name}
        self.plan.ask(code, f"name:{tidy(name)}", row, **params)

    def _amount(self, row: int, name: str, cells: Mapping[str, str], subject: str) -> str:
        """Return the amount of a row; empty where it has a problem or a question."""
        folded_name = tidy(name)
        try:
            return amount_read(
                cells.get("amount", ""),
                cells.get("unit", ""),
                # Ounces of a recipe are a weight: it has no volume.
                subject,
                written=self.written,
                oz=self.answers.get(f"oz:{folded_name}", ""),
                bare=self.answers.get(f"bare:{folded_name}", ""),
            )
        except Unread as unread:
            self.plan.problem(row, "amount", unread.reason.code, **unread.reason.params)
        except Asked as asked:
            self.plan.ask(asked.code, f"{asked.code}:{folded_name}", row, item=name)
        return ""
