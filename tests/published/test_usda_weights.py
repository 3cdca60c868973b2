"""The bundled table against values of USDA SR28 (WEIGHT and FOOD_DES files) read apart from it.

Source: USDA National Nutrient Database for Standard Reference, Release 28 (2015-2016), household weights and refuse, in
the public domain. `usda_sr28_weights.csv` was taken from the release's own files anew: the gram weights of each food
in the order of their sequence numbers, and the percent of refuse.
"""

import csv
import re
from decimal import Decimal
from pathlib import Path

import pytest

from catalog.pantry.food_table import Weight, density_of_cup, foods, suggestions
from tests.each import each

with (Path(__file__).parent / "usda_sr28_weights.csv").open(encoding="utf-8", newline="") as file:
    RELEASE = {row["ndb_no"]: row for row in csv.DictReader(file)}
#: NIST Handbook 44, appendix C: a gallon is 231 cubic inches, an inch 2.54 cm.
GALLON_ML = 231 * Decimal("2.54") ** 3
MEASURES = {
    "cup": GALLON_ML / 16,
    "tbsp": GALLON_ML / 256,
    "tablespoon": GALLON_ML / 256,
    "tsp": GALLON_ML / 768,
    "fl oz": GALLON_ML / 128,
    "quart": GALLON_ML / 4,
}


def test_the_release_has_every_food_of_the_table() -> None:
    assert foods().keys() == RELEASE.keys()
    assert sum(len(food.weights) for food in foods().values()) > 290


@each("ndb", RELEASE)
def test_every_weight_of_a_food_is_that_of_the_release(ndb: str) -> None:
    printed = [Decimal(grams) for grams in RELEASE[ndb]["grams"].split()]
    assert [weight.grams for weight in foods()[ndb].weights] == printed


@each("ndb", [ndb for ndb, food in foods().items() if food.yield_share is not None])
def test_every_yield_is_one_less_the_refuse_of_the_release(ndb: str) -> None:
    assert foods()[ndb].yield_share == 1 - Decimal(RELEASE[ndb]["refuse_pct"]) / 100


DENSE = [(ndb, weight) for ndb, food in foods().items() for weight in food.weights if weight.density is not None]


@each(("ndb", "weight"), DENSE, ids=lambda case: f"{case[0]}-{case[1].measure}")
def test_every_density_is_the_weight_over_the_volume_of_its_measure(ndb: str, weight: Weight) -> None:
    found = re.match(r"([\d.]+ )?(cup|tbsp|tablespoon|tsp|fl oz|quart)\b", weight.measure)
    assert found
    volume = Decimal((found[1] or "1").strip()) * MEASURES[found[2]]
    assert weight.density is not None
    assert abs(weight.density - weight.grams / volume) <= Decimal("0.00005")


def test_a_cup_of_what_is_thrown_away_in_part_gives_no_density() -> None:
    """Cherries with their pits: what is left of the cup fills none."""
    weight = foods()["09070"].weight("cup, with pits, yields")
    assert weight is not None
    assert weight.density is None
    assert len(DENSE) > 150


@pytest.mark.parametrize(
    ("ndb", "measure", "grams"),
    [
        ("19335", "cup", "200"),
        ("01053", "cup, fluid (yields 2 cups whipped)", "238"),
        ("20084", "cup unsifted, dipped", "137"),
        ("01123", "large", "50"),
        ("19296", "cup", "339"),
        ("09302", "cup", "123"),
    ],
)
def test_household_weights_are_those_of_sr28(ndb: str, measure: str, grams: str) -> None:
    weight = foods()[ndb].weight(measure)
    assert weight is not None
    assert weight.grams == Decimal(grams)


@pytest.mark.parametrize(("ndb", "share"), [("09003", "0.90"), ("09302", "0.96"), ("09307", "0.75"), ("01123", "0.88")])
def test_yields_are_one_less_the_refuse_of_sr28(ndb: str, share: str) -> None:
    assert foods()[ndb].yield_share == Decimal(share)


def test_a_cup_of_sugar_gives_its_density() -> None:
    """200 g in a US cup of 236.5882365 ml (NIST Handbook 44)."""
    assert density_of_cup(Decimal(200)) == Decimal("0.8454")


@pytest.mark.parametrize(
    ("name", "ndb"),
    [
        ("Granulated sugar", "19335"),
        ("Honey", "19296"),
        ("Raspberries", "09302"),
        ("Heavy cream", "01053"),
        ("Rhubarb", "09307"),
    ],
)
def test_an_ingredients_name_finds_its_row(name: str, ndb: str) -> None:
    assert ndb in [food.ndb for food in suggestions(name)]


def test_a_name_without_a_row_finds_nothing() -> None:
    assert suggestions("Zzyzx") == []
    assert suggestions("") == []
