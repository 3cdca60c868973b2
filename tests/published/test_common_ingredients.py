"""The figures of common ingredients are the food table's: USDA SR28, recomputed here from its rows.

Which foods, their names and one tablespoon of zest from a fruit: common practice, no source.
"""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from catalog.pantry.allergens import ALLERGENS
from catalog.pantry.common import common_ingredients, common_of, foods_for
from catalog.pantry.diets import DIET_FACTS
from catalog.pantry.food_table import foods
from tests.each import each

_FOLDER = Path(__file__).parents[2] / "catalog" / "pantry" / "data"
#: Rows of the table that no ingredient of the list is: a second kind of something that is in it.
NOT_LISTED = {"01037", "20038", "09202", "09003", "09156", "09216", "09160"}


def _rows() -> list[dict[str, str]]:
    with (_FOLDER / "usda_sr28.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_food_of_the_table_is_in_the_list_but_second_kinds() -> None:
    listed = {one.food.ndb for one in common_ingredients().values() if one.food}
    assert set(foods()) - listed == NOT_LISTED
    assert len(foods()) == 97


def test_a_cup_weighs_what_the_table_says() -> None:
    cup = Decimal("236.5882365")  # NIST Handbook 44: 231 in³ / 16
    weights = {
        row["ndb_no"]: Decimal(row["gram_weight"])
        for row in _rows()
        if (row["measure_amount"], row["measure"]) == ("1", "cup")
    }
    tried = 0
    for one in common_ingredients().values():
        if one.food and one.density and one.food.ndb in weights:
            assert one.density == pytest.approx(weights[one.food.ndb] / cup, abs=Decimal("0.0001")), one.key
            tried += 1
    assert tried > 30


@pytest.mark.parametrize(
    ("name", "grams"),
    [
        ("Eggs, large, in shell", Decimal(50) / Decimal("0.88")),  # 01123: large 50 g, shell 12 %
        ("Lemons", Decimal(58) / Decimal("0.53")),  # 09150: 58 g without peel, refuse 47 %
        ("Bananas", Decimal(118) / Decimal("0.64")),  # 09040: medium 118 g, skin 36 %
        ("Dates, pitted", Decimal("7.1")),  # 09087: bought without pits
    ],
)
def test_a_piece_weighs_its_edible_part_and_the_waste(name: str, grams: Decimal) -> None:
    found = common_of(name)
    assert found
    assert found.grams_each == grams.quantize(Decimal("0.1"))


def test_parts_are_shares_of_the_piece_as_purchased() -> None:
    egg, lemon = common_of("egg"), common_of("lemon")
    assert egg
    assert lemon
    # 01125: one large yolk 17 g; 01124: one large white 33 g; with the shell one weighs 56.8 g.
    assert {part.code: (part.grams, part.share) for part in egg.parts} == {
        "yolk": (17, Decimal("0.299")),
        "white": (33, Decimal("0.581")),
    }
    # 09152: one lemon yields 48 g juice.
    assert (lemon.parts[0].grams, lemon.parts[0].share) == (48, Decimal("0.439"))
    for one in common_ingredients().values():
        assert sum(part.share for part in one.parts) <= 1, one.key


def test_what_it_contains_is_named_by_codes_there_are() -> None:
    codes = {allergen.code for allergen in ALLERGENS} | set(DIET_FACTS)
    for one in common_ingredients().values():
        assert set(one.contains) <= codes, one.key


@each(
    ("name", "ndb"),
    [
        ("unsalted butter", "01145"), ("Butter", "01145"), ("whole milk", "01077"), ("milk", "01077"),
        ("AP flour", "20081"), ("plain flour", "20081"), ("caster sugar", "19335"), ("icing sugar", "19336"),
        ("powdered sugar", "19336"), ("eggs", "01123"), ("egg yolks", "01125"), ("double cream", "01053"),
        ("cornflour", "20027"), ("gelatine", "19177"), ("lemon", "09150"), ("ground almonds", "12062"),
        ("bicarbonate of soda", "18372"),
    ],
)  # fmt: skip
def test_what_a_kitchen_calls_it_finds_its_row_first(name: str, ndb: str) -> None:
    assert foods_for(name)[0].ndb == ndb


def test_names_and_keys_stand_once() -> None:
    found = list(common_ingredients().values())
    for country in ("US", "GB"):
        names = [one.name(country) for one in found]
        assert len(set(names)) == len(names)
    assert all(key.isascii() for key in common_ingredients())
