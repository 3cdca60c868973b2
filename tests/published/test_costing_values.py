"""The computation against values printed outside this project; each value stands with its source in the data file.

Values marked "computed" there are arithmetic on a published definition. Facts of the trade without a published source
are marked "common practice, no source" here.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from catalog.products.models import Product
from catalog.products.selectors import KindPrice
from costing import Estimate, estimate, read_book, read_brief
from costing.contract import PriceRule
from costing.measures.measure import parse_measure
from costing.money.allocation import allocate
from costing.money.rounding import minor_digits
from orders.quotes.draft.dessert_table import DessertTable
from orders.quotes.draft.estimate import DraftEstimate, EstimatedLine

VALUES: list[dict[str, Any]] = json.loads((Path(__file__).parent / "costing_values.json").read_text())


def values(start: str) -> list[Any]:
    found = [pytest.param(value, id=value["id"]) for value in VALUES if value["id"].startswith(start)]
    assert found, start
    return found


def value_of(name: str) -> dict[str, Any]:
    return next(value for value in VALUES if value["id"] == name)


def priced(
    ingredients: list[dict[str, Any]],
    lines: list[dict[str, str]],
    fill: str,
    *,
    units: int = 1,
    price: str | None = None,
    margin: str = "0",
    currency: str = "USD",
    **kitchen: str,
) -> Estimate:
    """Price a product filled with one recipe, and nothing else in it."""
    cup = {"code": "cup", "name": "Cup", "category": "cup", "servings": 1, "tax": "none"}
    book = read_book(
        {
            "format": "coldset-book/1",
            "currency": currency,
            "kitchen": {"price_step": "0.01"} | kitchen,
            "roles": {},
            "stations": {},
            "taxes": {"none": [{"rate": "0", "from": "2020-01-01"}]},
            "ingredients": [{"name": "Thing"} | ingredient for ingredient in ingredients],
            "recipes": [{"code": "mix", "name": "Mix", "lines": lines}],
            "products": [cup | {"fill": [{"recipe": "mix", "amount": fill}]}],
            "price_rules": [{"code": "rule", "margin": margin}],
        }
    )
    asked = {"product": "cup", "units": units} | ({} if price is None else {"unit_price": price})
    return estimate(book, read_brief({"format": "coldset-brief/1", "date": "2026-11-24", "lines": [asked]}))


def one_ingredient(ingredient: dict[str, Any], amount: str, fill: str, **more: Any) -> Estimate:
    """Price a product filled with a recipe of one ingredient."""
    return priced([{"code": "thing"} | ingredient], [{"ingredient": "thing", "amount": amount}], fill, **more)


def pack(size: str, price: str) -> list[dict[str, Any]]:
    return [{"size": size, "price": price, "from": "2026-01-01"}]


@pytest.mark.parametrize("value", values("unit."))
def test_units_are_the_exact_ones_of_nist(value: dict[str, Any]) -> None:
    unit = value["id"].removeprefix("unit.").removeprefix("us_")
    assert parse_measure(f"1 {unit}").in_base("us") == Fraction(value["expected"])


def test_a_pint_of_water_like_cream_weighs_a_pound_within_two_percent() -> None:
    """Common practice, no source ("a pint's a pound"); sour cream at USDA SR28's 230 g a cup."""
    cup = parse_measure("1 cup").in_base("us")
    pint = parse_measure("1 pint").grams(density=230 / cup)
    assert abs(pint / parse_measure("1 lb").grams() - 1) < Fraction(2, 100)


def test_seven_packs_of_eight_ounces_are_fifty_six_ounces() -> None:
    """Common practice, no source."""
    assert 7 * parse_measure("8 oz").grams() == parse_measure("56 oz").grams()
    found = one_ingredient({"charge": "packs", "packs": pack("8 oz", "2.10")}, "1 oz", "56 oz").ingredients[0]
    assert found.packs is not None
    assert [(p.size, p.count) for p in found.packs] == [("8 oz", 7)]
    assert found.leftover == 0


@pytest.mark.parametrize("value", values("ep_cost.ers2022"))
def test_cup_prices_of_fruit_are_those_ers_prints(value: dict[str, Any]) -> None:
    given = value["inputs"]
    ingredient = {"yield": given["yield"], "packs": pack("1 lb", given["retail_price_usd_per_lb"])}
    found = one_ingredient(ingredient, "1 lb", f"{given['cup_equivalent_lb']} lb")
    assert abs(found.lines[0].ingredients - Fraction(value["expected"])) <= Fraction(str(value["tolerance"]))


def test_the_fruit_table_is_whole() -> None:
    assert len(values("ep_cost.ers2022")) == 21


@pytest.mark.parametrize("value", values("yield.sr28"))
def test_as_purchased_is_ready_to_use_over_the_yield_of_sr28(value: dict[str, Any]) -> None:
    found = one_ingredient({"yield": value["expected"], "packs": pack("1 kg", "1")}, "1 kg", "1 kg").ingredients[0]
    assert abs(found.as_purchased - 1000 / Fraction(value["expected"])) < Fraction(1, 10**30)


def test_household_weights_of_sr28_agree_with_each_other_through_the_density() -> None:
    sugar = Fraction(value_of("usda.19335.cup")["expected"]) / parse_measure("1 cup").in_base("us")
    butter = Fraction(value_of("usda.01145.cup")["expected"]) / parse_measure("1 cup").in_base("us")
    # The table prints one decimal.
    assert abs(
        parse_measure("1 tsp").grams(density=sugar) - Fraction(value_of("usda.19335.tsp")["expected"])
    ) < Fraction(1, 20)
    assert abs(
        parse_measure("1 tbsp").grams(density=butter) - Fraction(value_of("usda.01145.tbsp")["expected"])
    ) < Fraction(1, 20)


def eggs(*lines: tuple[str, int]) -> Fraction:
    """Return how many grams of egg in shell a recipe of parts of eggs has to buy, by SR28's weights and refuse."""
    whole, white, yolk = (Fraction(value_of(f"usda.{ndb}.large")["expected"]) for ndb in ("01123", "01124", "01125"))
    edible = Fraction(value_of("yield.sr28.01123")["expected"])
    egg = {
        "code": "egg",
        "packs": pack("1 kg", "1"),
        "parts": [
            {"code": name, "share": str(float(grams / whole * edible)), "joint": "egg", "grams_each": str(grams)}
            for name, grams in (("white", white), ("yolk", yolk))
        ],
    }
    asked = [{"ingredient": "egg", "part": part, "amount": f"{count} each"} for part, count in lines]
    grams = sum(count * {"white": white, "yolk": yolk}[part] for part, count in lines)
    return priced([egg], asked, f"{grams} g").ingredients[0].as_purchased / (whole / edible)


@pytest.mark.parametrize(
    ("lines", "bought"),
    [
        ((("white", 3), ("yolk", 3)), 3),
        ((("yolk", 6),), 6),
        ((("white", 2), ("yolk", 6)), 6),
        ((("white", 5), ("yolk", 4)), 5),
    ],
)
def test_yolk_and_white_come_out_of_the_same_egg_of_sr28(lines: tuple[tuple[str, int], ...], bought: int) -> None:
    """White 33 g and yolk 17 g are the large egg of 50 g, so what is left of one is there for the other."""
    assert abs(eggs(*lines) - bought) < Fraction(1, 10**20)


def test_the_factor_method_scales_as_the_handbooks_do() -> None:
    """348 portions of a card of 100, and 80 servings of a recipe of 100 of 3.49 oz each."""
    assert value_of("scale.dod.factor")["inputs"] == {"portions": 348, "base": 100}
    pounds = Fraction(value_of("scale.dod.quantity")["expected"]["lb_decimal"])
    found = one_ingredient({"packs": pack("1 lb", "1")}, "1.25 lb", "0.0125 lb", units=348)
    assert found.ingredients[0].ready == found.recipes[0].grams == pounds * parse_measure("1 lb").in_base()
    served = one_ingredient({"packs": pack("1 lb", "1")}, "349 oz", "3.49 oz", units=80).recipes[0].grams
    assert served / parse_measure("349 oz").in_base() == Fraction(value_of("scale.usda.factor")["expected"])


def weighed(shares: dict[str, str], fill: str, units: int) -> dict[str, Fraction]:
    """Return how many grams of each ingredient a formula takes: parts of it for each 100 of flour."""
    things = [{"code": name, "packs": pack("1 kg", "1")} for name in shares]
    lines = [{"ingredient": name, "amount": f"{share} g"} for name, share in shares.items()]
    return {row.ingredient: row.ready for row in priced(things, lines, fill, units=units).ingredients}


def test_bakers_percentage_of_the_course_sheet() -> None:
    """100 + 67 + 2 + 1 parts, made into 73 pieces of 390 g."""
    value = value_of("bakers.baguette")
    shares = {name: str(share) for name, share in value["inputs"].items()}
    for name, grams in weighed(shares, "390 g", 73).items():
        assert abs(grams - Fraction(str(value["expected"][f"{name}_g"]))) < Fraction(1, 100)


def test_bakers_percentage_of_the_textbooks_cake() -> None:
    """377.5 parts in all for each 100 of flour: 96 oz of batter, or 3000 g."""
    expected = value_of("bakers.cake_yield")["expected"]
    shares = {"flour": "100", "others": "277.5"}
    ounces = weighed(shares, "96 oz", 1)["flour"] / parse_measure("1 oz").grams()
    assert abs(ounces - Fraction(expected["flour_oz"])) < Fraction(1, 100)
    assert abs(weighed(shares, "3000 g", 1)["flour"] - Fraction(expected["flour_g"])) < Fraction(1, 10)


COSTING_035 = {"packs": pack("1 kg", "0.35")}


def test_a_markup_of_30_percent_is_a_margin_of_23_and_both_are_distinguished_everywhere() -> None:
    """0.35 marked up by 30 % is 0.455; in dinars, which have three decimals, nothing has to be rounded."""
    price = value_of("price.markup")["expected"]["unrounded"]
    markup = Fraction(value_of("price.markup_vs_margin")["expected"]["markup_pct"]) / 100
    margin = Fraction(value_of("price.markup_vs_margin")["expected"]["margin_pct"]) / 100
    found = one_ingredient(COSTING_035, "1 kg", "1 kg", price=price, currency="KWD", price_step="0.001")
    (line,) = found.lines
    assert line.margin is not None
    assert found.totals.goods_margin == line.margin
    assert abs(line.margin - margin) < Fraction(1, 10**4)
    assert (
        KindPrice("", line, PriceRule("rule", Fraction(0)), "", {}).markup
        == EstimatedLine(Product(), line, PriceRule("rule", Fraction(0)), "").markup
        == markup
    )
    table = DraftEstimate(DessertTable(()), "KWD", Fraction(0), None, found)
    assert table.markup is not None
    assert abs(table.markup - markup) < Fraction(1, 10**20)


def test_the_price_of_a_rule_with_that_margin_is_the_one_printed_for_the_markup() -> None:
    margin = Fraction(value_of("price.markup_vs_margin")["expected"]["margin_pct"]) / 100
    (line,) = one_ingredient(COSTING_035, "1 kg", "1 kg", margin=str(float(margin))).lines
    assert line.unit_price == Fraction(value_of("price.markup")["expected"]["price"])


def test_the_price_for_a_food_cost_of_a_quarter() -> None:
    """173.89 for 200 portions; a food cost of 25 % is a margin of 75 %."""
    value = value_of("price.foodcost")["expected"]
    (line,) = one_ingredient({"packs": pack("200 kg", "173.89")}, "1 kg", "1 kg", margin="0.75").lines
    assert line.cost == Fraction(value["cost_per_portion"])
    assert line.unit_price == Fraction(value["price"])


def test_the_food_cost_of_a_price_is_one_less_its_margin() -> None:
    """1.15 of 3.66."""
    (line,) = one_ingredient({"packs": pack("1 kg", "1.15")}, "1 kg", "1 kg", price="3.66").lines
    assert line.margin is not None
    assert abs(1 - line.margin - Fraction(value_of("price.foodcost_pct")["expected"]) / 100) < Fraction(1, 10**4)


@pytest.mark.parametrize("value", values("hamilton."))
def test_largest_remainder_is_that_of_the_textbooks(value: dict[str, Any]) -> None:
    names = "abcdefg"
    weights = {name: Fraction(str(w)) for name, w in zip(names, value["inputs"]["weights"], strict=False)}
    assert list(allocate(value["inputs"]["total"], weights).values()) == value["expected"]
    assert list(allocate(-value["inputs"]["total"], weights).values()) == [-part for part in value["expected"]]


@pytest.mark.parametrize("value", values("iso4217."))
def test_minor_units_are_those_of_iso_4217(value: dict[str, Any]) -> None:
    assert minor_digits(value["id"].rpartition(".")[2]) == value["expected"]
