"""The bundled table's compositions held against how USDA SR28 is made.

Source: USDA National Nutrient Database for Standard Reference, Release 28, documentation (2016): carbohydrate is what
100 g leave after water, protein, fat, ash and alcohol ("by difference"), with the fibre in it. So the parts of a row
add up to 100 when, and only when, fibre is counted once and alcohol is counted.
"""

import csv
from decimal import Decimal
from pathlib import Path

import catalog
from catalog.pantry.food_table import foods
from tests.each import each

TABLE = Path(catalog.__file__).parent / "pantry" / "data" / "usda_sr28.csv"
PARTS = ("water", "protein", "fat", "carb", "fibre", "ash")
#: Baking soda gives off carbon dioxide when it is burnt to ash; the table says where no part of the rest went.
GOES_UP_IN_GAS = "18372"


def rows() -> dict[str, dict[str, str]]:
    """Read the file apart from the code that is tested."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return {row["ndb_no"]: row for row in csv.DictReader(file)}


@each("ndb", sorted(set(foods()) - {GOES_UP_IN_GAS}))
def test_a_row_adds_up_to_100(ndb: str) -> None:
    parts = foods()[ndb].composition
    assert parts is not None
    assert tuple(parts) == PARTS
    assert all(share >= 0 for share in parts.values())
    assert abs(sum(parts.values(), Decimal(0)) - 100) <= 1


def test_fibre_is_counted_once() -> None:
    """ASHRAE's table of compositions prints carbohydrate with the fibre in it, and fibre again beside it."""
    cocoa, row = foods()["19165"].composition, rows()["19165"]
    assert cocoa is not None
    assert cocoa["carb"] + cocoa["fibre"] == Decimal(row["carbohydrate_g"])
    assert cocoa["fibre"] == Decimal(row["fibre_g"]) > 30


def test_alcohol_counts_as_water() -> None:
    vanilla, row = foods()["02050"].composition, rows()["02050"]
    assert vanilla is not None
    assert vanilla["water"] == Decimal(row["water_g"]) + Decimal(row["alcohol_g"]) > 80


def test_other_parts_are_the_rows_own() -> None:
    cream, row = foods()["01053"].composition, rows()["01053"]
    assert cream is not None
    named = ("water", "protein", "fat", "ash")
    assert [cream[name] for name in named] == [Decimal(row[f"{name}_g"]) for name in named]
