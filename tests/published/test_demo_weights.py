"""What the demo kitchen's ingredients weigh, against the food table each of them names.

Source: USDA National Nutrient Database for Standard Reference, Release 28 (2015-2016), household weights, in the public
domain; the bundled table is held against the release itself in `test_usda_weights.py`. What the table does not print is
written out here, with where it comes from.
"""

from decimal import Decimal
from typing import Any

import pytest

from catalog.pantry.food_table import foods
from config.demo.buying import INGREDIENTS

#: The measure of its row by which an ingredient, or a part of one, is weighed.
MEASURES = {
    "flour": "cup",
    "cake-flour": "cup unsifted, dipped",
    "oats": "cup",
    "sugar": "cup",
    "brown-sugar": "cup packed",
    "icing-sugar": "cup unsifted",
    "cornstarch": "cup",
    "baking-powder": "tsp",
    "salt": "tsp",
    "honey": "cup",
    "butter": "cup",
    "cream": "cup, fluid (yields 2 cups whipped)",
    "milk": "cup",
    "buttermilk": "cup",
    "yogurt": "cup (8 fl oz)",
    "egg:yolk": "large",
    "egg:white": "large",
    "white-chocolate": "cup chips",
    "cocoa": "cup",
    "almonds": "cup, ground",
    "flaked-almonds": "cup, sliced",
    "hazelnuts": "cup, chopped",
    "pistachios": "cup",
    "vanilla": "cup",
    "canola": "cup",
    "lemon:juice": "cup",
    "lemon:zest": "tbsp",
    "orange:juice": "cup",
    "orange:zest": "tbsp",
    "rhubarb": "cup, diced",
    "pear": "medium",
    "plum": 'fruit (2-1/8" dia)',
    "cinnamon": "tsp",
}
#: US gallon [ml]: NIST Handbook 44, appendix C (231 cubic inches).
GALLON_ML = 231 * Decimal("2.54") ** 3
CUP_ML, PINT_ML, TEASPOON_ML = GALLON_ML / 16, GALLON_ML / 8, GALLON_ML / 768
#: Density [g/ml] or weight of a piece [g] of what the table prints no such measure of.
OTHERWISE = {
    # SR28 01123: a large egg without its shell weighs 50 g, and 12 % of what is bought is shell.
    "egg": 50 / Decimal("0.88"),
    # SR28 09302: a pint as purchased yields 312 g.
    "raspberry": 312 / PINT_ML,
    # A cup of chips 168 g, of buckwheat flour 120 g, of canned coconut milk 226 g: other rows of SR28, from memory.
    "chocolate": 168 / CUP_ML,
    "buckwheat": 120 / CUP_ML,
    "coconut-milk": 226 / CUP_ML,
    # SR28 19177 prints an envelope of 7 g as a tablespoon; makers say 2 1/4 to 2 1/2 teaspoons (from memory).
    "gelatin": 7 / (Decimal("2.25") * TEASPOON_ML),
    # Common practice, no source.
    "agar": Decimal("0.56"),
    "lemon": Decimal(130),
    "orange": Decimal(200),
}
#: Table values are rounded; the demo kitchen has one figure for the juice of both fruits.
TOLERANCE = Decimal("0.02")


def weighed() -> list[Any]:
    """List (name, row of the table, density, weight of a piece) of every ingredient and part that has either."""
    found = []
    for buy in INGREDIENTS:
        parts = [(f"{buy.code}:{part['code']}", part) for part in buy.facts.get("parts", ())]
        for name, facts in [(buy.code, buy.facts), *parts]:
            row = (facts.get("ndb", ""), facts.get("density"), facts.get("grams_each"))
            if any(row[1:]):
                found.append(pytest.param(name, *row, id=name))
    return found


@pytest.mark.parametrize(("name", "ndb", "density", "grams_each"), weighed())
def test_an_ingredient_weighs_what_is_printed(name: str, ndb: str, density: str | None, grams_each: str | None) -> None:
    assert (density is None) != (grams_each is None)
    expected = OTHERWISE.get(name)
    if expected is None:
        weight = foods()[ndb].weight(MEASURES[name])
        assert weight is not None
        expected = weight.density if density else weight.grams
    assert expected is not None
    assert abs(Decimal(density or grams_each or 0) - expected) <= TOLERANCE * expected


def test_every_weight_has_a_figure_to_be_held_against() -> None:
    assert {row.id for row in weighed()} == MEASURES.keys() | OTHERWISE.keys()
    assert not MEASURES.keys() & OTHERWISE.keys()
