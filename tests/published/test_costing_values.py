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

from costing import Estimate, estimate, read_book, read_brief
from costing.measures.measure import parse_measure
from costing.money.allocation import allocate
from costing.money.rounding import half_up, minor_digits

VALUES: list[dict[str, Any]] = json.loads((Path(__file__).parent / "costing_values.json").read_text())


def values(start: str) -> list[Any]:
    found = [pytest.param(value, id=value["id"]) for value in VALUES if value["id"].startswith(start)]
    assert found, start
    return found


def value_of(name: str) -> dict[str, Any]:
    return next(value for value in VALUES if value["id"] == name)


def one_ingredient(ingredient: dict[str, Any], amount: str, fill: str, **kitchen: str) -> Estimate:
    """Price one unit of a product filled with a recipe of one ingredient."""
    line = {"ingredient": "thing", "amount": amount} | ({"part": kitchen.pop("part")} if "part" in kitchen else {})
    book = read_book(
        {
            "format": "coldset-book/1",
            "currency": "USD",
            "kitchen": {"price_step": "0.01"} | kitchen,
            "roles": {},
            "stations": {},
            "taxes": {"none": [{"rate": "0", "from": "2020-01-01"}]},
            "ingredients": [{"code": "thing", "name": "Thing"} | ingredient],
            "recipes": [{"code": "mix", "name": "Mix", "lines": [line]}],
            "products": [
                {
                    "code": "cup",
                    "name": "Cup",
                    "category": "cup",
                    "servings": 1,
                    "tax": "none",
                    "fill": [{"recipe": "mix", "amount": fill}],
                }
            ],
            "price_rules": [{"code": "cost", "margin": "0"}],
        }
    )
    return estimate(
        book,
        read_brief({"format": "coldset-brief/1", "date": "2026-11-24", "lines": [{"product": "cup", "units": 1}]}),
    )


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


def test_yolk_and_white_make_the_egg_of_sr28() -> None:
    white, yolk = (Fraction(value_of(f"usda.{ndb}.large")["expected"]) for ndb in ("01124", "01125"))
    assert white + yolk == Fraction(value_of("usda.01123.large")["expected"])


def test_the_factor_method_scales_as_the_handbooks_do() -> None:
    factor = Fraction(348, 100)
    assert factor == Fraction(value_of("scale.dod.factor")["expected"])
    pounds = Fraction("1.25") * factor
    assert pounds == Fraction(value_of("scale.dod.quantity")["expected"]["lb_decimal"])
    assert Fraction(80, 100) == Fraction(value_of("scale.usda.factor")["expected"])
    # The engine scales by the same factor: a recipe of 1.25 lb made 3.48 times.
    found = one_ingredient({"packs": pack("1 lb", "1")}, "1.25 lb", "4.35 lb")
    assert found.recipes[0].grams == pounds * parse_measure("1 lb").in_base()


def test_bakers_percentage_of_the_course_sheet() -> None:
    value = value_of("bakers.baguette")
    shares = {name: Fraction(share) for name, share in value["inputs"].items()}
    total = Fraction(73 * 390)
    for name, share in shares.items():
        grams = total * share / sum(shares.values())
        assert abs(grams - Fraction(str(value["expected"][f"{name}_g"]))) < Fraction(1, 100)


def test_markup_is_never_margin() -> None:
    cost, price = Fraction("0.35"), Fraction(value_of("price.markup")["expected"]["unrounded"])
    assert (price - cost) / cost == Fraction(30, 100)
    margin = (price - cost) / price
    wanted = Fraction(value_of("price.markup_vs_margin")["expected"]["margin_pct"]) / 100
    assert abs(margin - wanted) < Fraction(1, 10**4)
    assert cost / (1 - margin) == price


def test_the_price_for_a_food_cost_of_a_quarter() -> None:
    value = value_of("price.foodcost")["expected"]
    cost = Fraction("173.89") / 200
    assert cost == Fraction(value["cost_per_portion"])
    assert Fraction(half_up(cost / Fraction(1, 4) * 100), 100) == Fraction(value["price"])


@pytest.mark.parametrize("value", values("hamilton."))
def test_largest_remainder_is_that_of_the_textbooks(value: dict[str, Any]) -> None:
    names = "abcdefg"
    weights = {name: Fraction(str(w)) for name, w in zip(names, value["inputs"]["weights"], strict=False)}
    assert list(allocate(value["inputs"]["total"], weights).values()) == value["expected"]
    assert list(allocate(-value["inputs"]["total"], weights).values()) == [-part for part in value["expected"]]


@pytest.mark.parametrize("value", values("iso4217."))
def test_minor_units_are_those_of_iso_4217(value: dict[str, Any]) -> None:
    assert minor_digits(value["id"].rpartition(".")[2]) == value["expected"]


@pytest.mark.parametrize("value", values("peppol.example."))
def test_totals_of_official_invoices_come_out(value: dict[str, Any]) -> None:
    """EN 16931 BR-CO-10, 13, 14, 15, 17 on the eight example invoices of Peppol BIS 3."""
    bases: dict[tuple[str, str], Fraction] = {}
    for line in value["inputs"]["lines"]:
        key = (line["vat"], str(Fraction(line["rate"] or 0)))
        bases[key] = bases.get(key, Fraction(0)) + Fraction(line["net"])
    lines = sum(bases.values(), Fraction(0))
    for other in value["inputs"]["document_allowances_charges"]:
        key = (other["vat"], str(Fraction(other["rate"] or 0)))
        sign = 1 if other["charge"] == "true" else -1
        bases[key] = bases.get(key, Fraction(0)) + sign * Fraction(other["amount"])
    wanted = value["expected"]
    taxes = {key: Fraction(half_up(base * Fraction(key[1])), 100) for key, base in bases.items()}
    assert lines == Fraction(wanted["totals"]["LineExtensionAmount"])
    assert sum(bases.values(), Fraction(0)) == Fraction(wanted["totals"]["TaxExclusiveAmount"])
    assert sum(taxes.values(), Fraction(0)) == Fraction(wanted["vat_total"])
    assert sum(bases.values(), Fraction(0)) + sum(taxes.values()) == Fraction(wanted["totals"]["TaxInclusiveAmount"])
    for row in wanted["breakdown"]:
        key = (row["cat"], str(Fraction(row["rate"] or 0)))
        assert (bases[key], taxes[key]) == (Fraction(row["taxable"]), Fraction(row["tax"]))
