"""A supplier's file as it comes: titles above the head row, heads in its own words, packs in two columns."""

import io
from decimal import Decimal

import openpyxl
import pytest

from catalog.price_lists.heads import columns_again, head_name
from catalog.price_lists.prices import price_read
from catalog.price_lists.reader import pack_text, table_of
from catalog.price_lists.reader_process import rows_read
from catalog.price_lists.table import Choice
from catalog.records.numbers import number_format
from catalog.records.unreadable import Unreadable

TITLED = b"""Quayside Foods, Harbor Road 4
Price list; spring, all regions

Item #,Description,Pack Size,Case Price,Brand
DAIRY,,,,
10442,"Cream, heavy",12/1 qt,$39.50/cs,House
10443,Butter unsalted,36/1 lb,"$1,102.40",House
"""


def rows(text: bytes, choice: Choice | None = None) -> list[tuple[int, str, str, str]]:
    return [(row.number, row.item, row.pack, row.price) for row in table_of("csv", text, choice).rows]


@pytest.mark.parametrize(
    ("head", "name"),
    [("Item #", "item_no"), ("Pack/Size", "pack_size"), ("Price per Case ($)", "price_case"), ("Net price", "price"),
     ("PROD. DESC.", "product_description"), ("pack_size", "pack_size")],
)  # fmt: skip
def test_a_head_is_read_in_plain_words(head: str, name: str) -> None:
    assert head_name(head) == name


def test_titles_are_skipped_and_headings_are_counted() -> None:
    table = table_of("csv", TITLED)
    assert [(row.number, row.item, row.pack, row.price) for row in table.rows] == [
        (6, "Cream, heavy", "12/1 qt", "$39.50/cs"),
        (7, "Butter unsalted", "36/1 lb", "$1,102.40"),
    ]
    assert table.headings == 1
    assert table.columns.heads == {"item": "Description", "pack": "Pack Size", "price": "Case Price"}


def test_the_price_of_the_case_goes_before_the_price_of_a_unit() -> None:
    assert rows(b"Name,Unit price,Pack,Case cost\nFlour,0.50,50 lb,25\n") == [(2, "Flour", "50 lb", "25")]


@pytest.mark.parametrize(
    ("pack", "size", "whole"),
    [("12", "1 qt", "12 x 1 qt"), ("1", "50 lb", "50 lb"), ("50", "lb", "50 lb"), ("12/1 qt", "1 qt", "12/1 qt"),
     ("CS", "12/1 qt", "12/1 qt"), ("", "5 lb", "5 lb"), ("6.0", "5 lb", "6 x 5 lb"), ("12", "", "12"),
     ("1.000", "g", "1.000 g"), ("1.250,5", "g", "1.250,5 g"), ("6.00", "5 lb", "6 x 5 lb")],
)  # fmt: skip
def test_a_pack_in_two_columns_is_one(pack: str, size: str, whole: str) -> None:
    assert pack_text(pack, size) == whole


def test_a_count_and_a_size_under_their_heads_are_one_pack() -> None:
    assert rows(b"Product;Pack;Size;Price\nCream;12;1 qt;39,50\n") == [(2, "Cream", "12 x 1 qt", "39,50")]


def test_semicolons_part_the_columns_though_names_have_commas() -> None:
    text = b"Quayside, Harbor Road, 4\nitem;pack;price\nNuts, flaked, blanched;1 lb;9,00\n"
    assert rows(text) == [(3, "Nuts, flaked, blanched", "1 lb", "9,00")]


def test_chosen_places_are_read_from_the_first_price_on() -> None:
    text = b"Spring list\nWhat,How much,For\nFlour,50 lb,24.60\nRye,,n/a\n"
    table = table_of("csv", text, Choice({"item": 0, "pack": 1, "price": 2}))
    assert [(row.number, row.item) for row in table.rows] == [(3, "Flour"), (4, "Rye")]
    assert table.columns.heads == {"item": "What", "pack": "How much", "price": "For"}


def test_remembered_heads_are_found_where_they_stand_now() -> None:
    before = Choice({"item": 0, "pack": 1, "price": 2}, {"item": "What", "pack": "How much", "price": "For"})
    text = b"Region,For,What,How much\nNorth,24.60,Flour,50 lb\n"
    assert rows(text, before) == [(2, "Flour", "50 lb", "24.60")]
    assert columns_again(before, ["What", "Price"]) is None


def test_another_layout_than_the_remembered_one_is_read_by_the_usual_heads() -> None:
    before = Choice({"item": 0, "pack": 1, "price": 2}, {"item": "What", "pack": "How much", "price": "For"})
    assert rows(b"price,item,pack\n24.60,Flour,50 lb\n", before) == [(2, "Flour", "50 lb", "24.60")]


def test_the_first_sheet_with_a_price_table_is_read() -> None:
    book = openpyxl.Workbook()
    cover = book.active
    assert cover is not None
    cover.append(["Spring prices of Quayside Foods"])
    hidden = book.create_sheet("Old")
    hidden.sheet_state = "hidden"
    for sheet, price in ((hidden, 9), (book.create_sheet("Prices"), 24.6)):
        sheet.append(["Item", "Pack", "Price"])
        sheet.append(["Flour", "50 lb", price])
    out = io.BytesIO()
    book.save(out)
    assert [(row.item, row.price) for row in rows_read("prices.xlsx", out.getvalue()).rows] == [("Flour", "24.6")]
    book.remove(book["Prices"])
    book.remove(hidden)
    out = io.BytesIO()
    book.save(out)
    with pytest.raises(Unreadable, match="no_columns") as unreadable:
        rows_read("prices.xlsx", out.getvalue())
    assert unreadable.value.sample == [["Spring prices of Quayside Foods"]]


def test_a_number_in_a_workbook_is_its_shortest_decimal() -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in (["Item", "Pack", "Size", "Price"], ["Cream", 12.0, "1 qt", 0.1 + 0.2]):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    (row,) = table_of("xlsx", out.getvalue()).rows
    assert (row.pack, row.price) == ("12 x 1 qt", "0.3")


def test_three_decimals_of_a_workbook_are_no_thousands_anywhere() -> None:
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    for row in (["Item", "Pack", "Price"], ["Flour", "1 kg", 1.125], ["Rye", "1 kg", 1250]):
        sheet.append(row)
    file = io.BytesIO()
    made.save(file)
    prices = [row.price for row in table_of("xlsx", file.getvalue()).rows]
    read = [price_read(text, pack="1 kg", written=number_format("de_DE"), currency="EUR") for text in prices]
    assert read == [Decimal("1.125"), Decimal(1250)]


def test_a_file_without_heads_says_so_and_shows_its_first_rows() -> None:
    wide = ",".join(["x" * 50] * 20)
    text = f"{wide}\n" + "Flour,50 lb,24.60\n" * 20
    with pytest.raises(Unreadable) as unreadable:
        rows_read("prices.csv", text.encode())
    assert unreadable.value.code == "no_columns"
    assert len(unreadable.value.sample) == 10
    assert unreadable.value.sample[0] == ["x" * 40] * 12


def test_the_head_row_is_looked_for_among_the_first_rows_alone() -> None:
    late = b"Some words\n" * 30 + b"item,pack,price\nFlour,50 lb,24.60\n"
    with pytest.raises(Unreadable, match="no_columns"):
        table_of("csv", late)
    assert len(rows(late[len(b"Some words\n") :])) == 1


def test_chosen_columns_reach_the_process_that_reads() -> None:
    table = rows_read("prices.csv", b"Flour,x,50 lb,24.60\n", Choice({"item": 0, "pack": 2, "price": 3}))
    assert [(row.item, row.pack, row.price) for row in table.rows] == [("Flour", "50 lb", "24.60")]
    assert table.sample == [["Flour", "x", "50 lb", "24.60"]]
