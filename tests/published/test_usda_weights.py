"""The bundled table against values of USDA SR28 (WEIGHT and FOOD_DES files) read apart from it.

Source: USDA National Nutrient Database for Standard Reference, Release 28, household weights and refuse.
"""

from decimal import Decimal

import pytest

from catalog.pantry.food_table import density_of_cup, foods, suggestions


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
