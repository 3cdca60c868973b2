"""Amounts as owners write them, and the columns and rows of their sheets."""

import io
from typing import Any

import openpyxl
import pytest
from django.http import QueryDict

from catalog.records.unreadable import Unreadable
from catalog.spreadsheets.amounts import Asked, Unread, amount_read, amount_written
from catalog.spreadsheets.cells import marked, unmarked
from catalog.spreadsheets.columns import Column, choice_proposed, lines_below
from catalog.spreadsheets.forms import answers_entered, cells_entered
from catalog.spreadsheets.reader import grid_of
from catalog.spreadsheets.recipe_rows import COLUMNS, recipe_lines
from tests.each import each

HEADS = [list(column.heads) for column in COLUMNS]


@each(
    ("amount", "unit", "name", "read"),
    [
        ("1 1/2 c", "", "Flour", "1 1/2 cup"), ("1 1/2", "C", "Flour", "1 1/2 cup"), ("2", "T", "Flour", "2 tbsp"),
        ("2", "Tbsp", "Flour", "2 tbsp"), ("1", "t", "Salt", "1 tsp"), ("½ tsp", "", "Salt", "½ tsp"),
        ("3#", "", "Flour", "3 lb"), ("2 lb", "", "Flour", "2 lb"), ("8 oz", "", "Flour", "8 oz"),
        ("8 oz by volume", "", "Milk", "8 fl_oz"), ("8 fl oz", "", "Milk", "8 fl_oz"), ("8 oz wt", "", "Milk", "8 oz"),
        ("8 oz by weight", "", "Milk", "8 oz"), ("8", "oz", "Cream cheese", "8 oz"), ("3", "ea", "Eggs", "3 each"),
        ("1", "doz", "Eggs", "1 dozen"), ("1", "pt", "Cream", "1 pint"), ("2", "qt", "Cream", "2 quart"),
        ("1/2", "gal", "Milk", "1/2 gallon"), ("2 sticks", "", "Butter", "8 oz"), ("½", "stick", "butter", "2 oz"),
        ("1 1/2", "sticks", "Margarine", "6 oz"), ("1,500 g", "", "Flour", "1500 g"),
    ],
)  # fmt: skip
def test_an_amount_is_read_as_it_is_meant(amount: str, unit: str, name: str, read: str) -> None:
    assert amount_read(amount, unit, name) == read


@pytest.mark.parametrize(("amount", "name", "code"), [("8 oz", "Whole milk", "oz"), ("3", "Eggs", "bare")])
def test_what_can_mean_two_things_is_asked(amount: str, name: str, code: str) -> None:
    with pytest.raises(Asked) as asked:
        amount_read(amount, "", name)
    assert asked.value.code == code


def test_an_answer_settles_it() -> None:
    assert amount_read("8 oz", "", "Milk", oz="volume") == "8 fl_oz"
    assert amount_read("8 oz", "", "Milk", oz="weight") == "8 oz"
    assert amount_read("3", "", "Eggs", bare="each") == "3 each"


@pytest.mark.parametrize(
    ("amount", "code"),
    [("", "no_amount"), ("2027-01-02 00:00:00", "amount_date"), ("2 sticks", "measure"), ("a handful", "measure")],
)
def test_what_is_no_amount_is_refused(amount: str, code: str) -> None:
    with pytest.raises(Unread) as unread:
        amount_read(amount, "", "Flour")
    assert unread.value.reason.code == code


@pytest.mark.parametrize(("amount", "name"), [("8 oz", "Milk"), ("12 fl_oz", "Milk"), ("1 1/2 cup", "Flour")])
def test_a_written_amount_is_read_as_the_same(amount: str, name: str) -> None:
    assert amount_read(amount_written(amount, name), "", name) == amount


@pytest.mark.parametrize("text", ["=1+1", "'=1", "''-1", "plain", "'plain", "+1", "@x", " -1"])
def test_a_marked_cell_starts_no_formula_and_comes_back(text: str) -> None:
    assert marked(text).lstrip()[:1] not in ("=", "+", "-", "@")
    assert unmarked(marked(text)) == text


def test_columns_are_found_below_titles_and_repeated_heads_are_left_out() -> None:
    body = b"My book,,\n\nRecipe,Qty,Ingredient\nA,1 g,Flour\nRecipe,Qty,Ingredient\nB,2 g,Flour\n"
    grid = grid_of("csv", body, HEADS)
    choice = choice_proposed(grid.rows, COLUMNS)
    assert choice is not None
    assert (dict(choice.places), choice.head_row) == ({"recipe": 0, "amount": 1, "ingredient": 2}, 3)
    assert [(line["row"], line["cells"]["recipe"]) for line in lines_below(grid.rows, choice)] == [(4, "A"), (6, "B")]


def test_remembered_heads_go_before_the_usual_ones() -> None:
    rows = [(1, ["Amount", "Qty", "Ingredient"])]
    columns = (Column("amount", ("amount", "qty"), needed=True), Column("ingredient", ("ingredient",), needed=True))
    choice = choice_proposed(rows, columns, {"amount": "Qty", "ingredient": "Ingredient"})
    assert choice is not None
    assert choice.places["amount"] == 1


def _line(row: int, **cells: str) -> dict[str, Any]:
    return {"row": row, "cells": {"recipe": "", "amount": "", "ingredient": "", **cells}}


def test_a_name_stands_for_the_rows_below_it_and_a_title_is_no_row() -> None:
    lines = recipe_lines([_line(1, recipe="TARTS"), _line(2, recipe="A", amount="1 g", ingredient="x"),
                          _line(3, amount="2 g", ingredient="y")])  # fmt: skip
    assert [(line["row"], line["cells"]["recipe"]) for line in lines] == [(2, "A"), (3, "A")]


def test_without_a_column_of_recipes_a_row_with_a_name_alone_begins_one() -> None:
    rows = [{"row": 1, "cells": {"amount": "", "ingredient": "Glaze"}},
            {"row": 2, "cells": {"amount": "1 g", "ingredient": "x"}}]  # fmt: skip
    assert [line["cells"]["recipe"] for line in recipe_lines(rows)] == ["Glaze"]


def test_of_a_workbook_the_sheet_with_known_heads_is_read_or_the_one_that_is_wanted() -> None:
    book = openpyxl.Workbook()
    book.active.title = "Cover"
    book.active.append(["Recipes of 2026"])
    sheet = book.create_sheet("Lines")
    sheet.append(["Recipe", "Amount", "Ingredient"])
    sheet.append(["A", 1.5, "Flour"])
    out = io.BytesIO()
    book.save(out)
    grid = grid_of("xlsx", out.getvalue(), HEADS)
    assert (grid.sheets, grid.sheet, grid.rows[1]) == (["Cover", "Lines"], "Lines", (2, ["A", "1.5", "Flour"]))
    assert grid_of("xlsx", out.getvalue(), HEADS, "Cover").sheet == "Cover"
    with pytest.raises(Unreadable, match="no_such_sheet"):
        grid_of("xlsx", out.getvalue(), HEADS, "Gone")


@pytest.mark.parametrize(
    ("body", "code"),
    [(b"", "no_rows"), (b"a\n" * 5001, "too_many_rows"), (b"a," * 300 + b"a\n", "too_many_columns"),
     (b"a\x00b", "not_text"), (("x" * 9999 + "\n") .encode() * 420, "too_large")],
)  # fmt: skip
def test_limits_have_codes_of_their_own(body: bytes, code: str) -> None:
    with pytest.raises(Unreadable, match=code):
        grid_of("csv", body, HEADS)


def test_only_known_cells_and_answers_are_taken_from_a_form() -> None:
    data = QueryDict("row=4&row=x&amount-4=2+g&other-4=y&question=name:a&answer-0=add&question=oz:b&answer-1=drop"
                     "&question=name:c&answer-2=add&other-2=Flour")  # fmt: skip
    assert cells_entered(data, ["amount", "note"]) == {4: {"amount": "2 g"}}
    assert answers_entered(data) == {"name:a": "add", "oz:b": "", "name:c": "is:Flour"}
